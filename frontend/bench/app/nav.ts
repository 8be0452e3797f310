// Which screen is open. Kept in the address's fragment, so that the phone's own Back works, offline too.

import { signal } from "@preact/signals";

export type Screen = "pair" | "benches" | "bench" | "tree" | "records" | "phone" | "walk" | "plan";
export interface Place { screen: Screen; id: string; also: string }

const SCREENS: readonly string[] = ["pair", "benches", "bench", "tree", "records", "phone", "walk", "plan"];

/** What the shed's QR code opens: the pairing code, in the fragment, which goes to no server and no log. */
const SCANNED = /^#pair=([0-9A-Za-z-]{8,9})$/;

/** "#/bench/<id>" -> the bench screen; anything unknown -> the benches. */
export function read(hash: string): Place {
  const scanned = SCANNED.exec(hash);
  if (scanned) return { screen: "pair", id: scanned[1]!, also: "" };
  const [screen = "", id = "", also = ""] = hash.replace(/^#\/?/, "").split("/");
  return { screen: (SCREENS.includes(screen) ? screen : "benches") as Screen, id, also };
}

export const place = signal<Place>(read(location.hash));

addEventListener("hashchange", () => (place.value = read(location.hash)));

export function address(screen: Screen, id = "", also = ""): string {
  return `#/${[screen, id, also].filter(Boolean).join("/")}`;
}

/** Open a screen. `instead`: it takes the place of the one that is open, and Back does not return there. */
export function go(screen: Screen, id = "", also = "", instead = false): void {
  const hash = address(screen, id, also);
  if (instead) history.replaceState(null, "", hash);
  else if (hash !== location.hash) history.pushState(null, "", hash);
  place.value = read(hash);
}

/** The screen that the app opens at. Its address follows once it is `shown`: a browser takes its time over that. */
export function begin(screen: Screen, id: string, shown: Promise<void>): void {
  const first = { screen, id, also: "" };
  place.value = first;
  void shown.then(() => place.value === first && history.replaceState(null, "", address(screen, id)));
}

addEventListener("popstate", () => (place.value = read(location.hash)));

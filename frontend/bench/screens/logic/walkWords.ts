// The words at the end of a walk: what was found, and what to do about it.

import { tn, word, type Text } from "../../words";
import { WIRE_OFF } from "./cautions";
import type { Summary } from "./summary";

export type Lists = "cutOff" | "water" | "loose" | "marking" | "wet" | "noBuds" | "open";

/** In the order of doing; `now`: a hand is wanted today. */
export const LISTS: readonly { what: Lists & keyof Summary; title: Text; todo: Text | ""; now: boolean }[] = [
  { what: "cutOff", title: word("Wires to cut off today"), todo: WIRE_OFF, now: true },
  { what: "water", title: word("Pots to water"), todo: "", now: true },
  { what: "loose", title: word("Loose in the pot"), todo: word("Tie them down; look again at the next walk."), now: true },
  { what: "marking", title: word("Wire begins to mark"), todo: word("Look again within days."), now: false },
  { what: "wet", title: word("Soil wet"), todo: word("Hold the water back; is the drain free? Look again tomorrow."), now: false },
  { what: "noBuds", title: word("No needle buds low down"), todo: word("Look again before anything is cut back."), now: false },
  { what: "open", title: word("Still due"), todo: "", now: false },
];

export function andMore(count: number): string {
  return tn(count, "and {n} more", "and {n} more");
}

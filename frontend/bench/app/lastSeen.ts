// What was in sight when the app was left. The next opening is drawn from it before the phone's memory is even asked;
// what the memory says is laid over it a moment later. Taken once: after a crash there is none, and the memory is read.

import { near, SMALL, type FirstLook, type Reach } from "../store/first";
import type { TreeView } from "../model/types";
import type { Desk } from "./desk";

const HOME = "misho-last-seen";
/** Only the very build that left it may take it: the name of its file is made of all that it holds. */
const BUILD = import.meta.url;

/** With more records in sight the look would be no quicker than the reading of all. */
const MOST = 400;

/** As the walk is shown now; undefined where no walk is open, where it follows a plan, or stands at no place. */
export function inSight(desk: Desk, reach: Reach): FirstLook | undefined {
  const { walk, store } = desk;
  const [me, state, bench, here] = [desk.me.peek(), walk.state.peek(), walk.bench.peek(), walk.here.peek()];
  if (!me || !state || state.plan || !bench || !here) return undefined;
  const all = walk.size.peek();
  const part = near(here, reach);
  if (all > SMALL && !part) return undefined;
  const trees = walk.trees.peek().filter((tree) => all <= SMALL || within(tree, part));
  const kept = new Set<string | null>(trees.map(({ id }) => id));
  const records = walk.records.peek().filter(({ record }) => !record.tree || kept.has(record.tree));
  if (records.length > MOST) return undefined;
  const answered = [...walk.answers.peek().keys()].filter((tree) => kept.has(tree)).length;
  const [waiting, photos] = [store.waiting.peek(), store.photos.waiting.peek()];
  const beyond = walk.looked.peek() - answered;
  return { me, species: desk.species.peek(), walk: state, bench, trees, all, records, beyond, waiting, photos };
}

function within({ row, place }: TreeView, part: ReturnType<typeof near>): boolean {
  if (!row || !place || !part || row < part.top || row > part.bottom) return false;
  const [left, right] = part.places(row);
  return place >= left && place <= right;
}

/** Keep it for the next opening. */
export function leave(look: FirstLook | undefined): void {
  if (!look) return forget();
  try {
    localStorage.setItem(HOME, JSON.stringify({ build: BUILD, look: { ...look, species: [...look.species] } }));
  } catch {
    // A browser that keeps nothing, or has no room: an older one must not be taken instead.
    forget();
  }
}

/** Take it: undefined where there is none, or another build left it. */
export function taken(): FirstLook | undefined {
  try {
    const text = localStorage.getItem(HOME);
    if (!text) return undefined;
    const { build, look } = JSON.parse(text) as { build: string; look: FirstLook & { species: never } };
    return build === BUILD ? { ...look, species: new Map(look.species) } : undefined;
  } catch {
    return undefined;
  } finally {
    forget();
  }
}

function forget(): void {
  try {
    localStorage.removeItem(HOME);
  } catch {
    // As above.
  }
}

/** Keep what `sight` gives whenever the app is left: a phone may end it any time after, and says no more. */
export function followLeaving(sight: () => FirstLook | undefined): void {
  addEventListener("pagehide", () => leave(sight()));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") leave(sight());
    // It may be walked on, and then it is no longer as it was left.
    else forget();
  });
}

// The list of benches: its order, and the one reason to say of each.

import type { Bench, DueWhat } from "../../model/types";
import type { Tally } from "../../store";
import { many } from "./words";

/** By walking order, then by name ("Bench 2" before "Bench 10"). */
export function inOrder(benches: readonly Bench[]): Bench[] {
  return [...benches].sort((a, b) => a.order - b.order || a.name.localeCompare(b.name, "en", { numeric: true }));
}

export interface Worst { what: DueWhat; text: string }

const SAY: readonly [DueWhat, (n: number) => string][] = [
  ["wire", (n) => `${many(n, "wire")} to look at`],
  ["soil", (n) => `${many(n, "pot")} to check for water`],
  ["firm", (n) => `${many(n, "seedling")} to feel whether firm`],
  ["buds", (n) => `${many(n, "tree")} to look over for low buds`],
  ["roots", (n) => `${many(n, "root survey")} due`],
  ["caliper", (n) => `${many(n, "trunk")} to measure`],
  ["branches", (n) => `${many(n, "tree")} to count branches on`],
];

/** The worst thing due on a bench, in one phrase; a wire that bites goes before all else. */
export function worst(tally: Tally | undefined): Worst | undefined {
  if (!tally) return undefined;
  if (tally.bitten) return { what: "wire", text: `${many(tally.bitten, "wire")} bit when last seen` };
  for (const [what, say] of SAY) {
    const n = tally.whats[what];
    if (n) return { what, text: say(n) };
  }
  return undefined;
}

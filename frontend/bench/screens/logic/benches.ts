// The list of benches: its order, and the one reason to say of each.

import type { Bench, DueWhat } from "../../model/types";
import type { Tally } from "../../store";
import { locale, tn } from "../../words";

/** By walking order, then by name ("Bench 2" before "Bench 10"). */
export function inOrder(benches: readonly Bench[]): Bench[] {
  return [...benches].sort((a, b) => a.order - b.order || a.name.localeCompare(b.name, locale(), { numeric: true }));
}

export interface Worst { what: DueWhat; text: string }

const SAY: readonly [DueWhat, (n: number) => string][] = [
  ["wire", (n) => tn(n, "{n} wire to look at", "{n} wires to look at")],
  ["soil", (n) => tn(n, "{n} pot to check for water", "{n} pots to check for water")],
  ["firm", (n) => tn(n, "{n} seedling to feel whether firm", "{n} seedlings to feel whether firm")],
  ["buds", (n) => tn(n, "{n} tree to look over for low buds", "{n} trees to look over for low buds")],
  ["roots", (n) => tn(n, "{n} root survey due", "{n} root surveys due")],
  ["caliper", (n) => tn(n, "{n} trunk to measure", "{n} trunks to measure")],
  ["branches", (n) => tn(n, "{n} tree to count branches on", "{n} trees to count branches on")],
];

/** The worst thing due on a bench, in one phrase; a wire that bites goes before all else. */
export function worst(tally: Tally | undefined): Worst | undefined {
  if (!tally) return undefined;
  if (tally.bitten) return { what: "wire", text: tn(tally.bitten, "{n} wire bit when last seen", "{n} wires bit when last seen") };
  for (const [what, say] of SAY) {
    const n = tally.whats[what];
    if (n) return { what, text: say(n) };
  }
  return undefined;
}

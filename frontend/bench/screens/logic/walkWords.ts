// The words at the end of a walk: what was found, and what to do about it.

import { WIRE_OFF } from "./cautions";
import type { Summary } from "./summary";

export type Lists = "cutOff" | "water" | "loose" | "marking" | "wet" | "noBuds" | "open";

/** In the order of doing; `now`: a hand is wanted today. */
export const LISTS: readonly { what: Lists & keyof Summary; title: string; todo: string; now: boolean }[] = [
  { what: "cutOff", title: "Wires to cut off today", todo: WIRE_OFF, now: true },
  { what: "water", title: "Pots to water", todo: "", now: true },
  { what: "loose", title: "Loose in the pot", todo: "Tie them down; look again at the next walk.", now: true },
  { what: "marking", title: "Wire begins to mark", todo: "Look again within days.", now: false },
  { what: "wet", title: "Soil wet", todo: "Hold the water back; is the drain free? Look again tomorrow.", now: false },
  { what: "noBuds", title: "No needle buds low down", todo: "Look again before anything is cut back.", now: false },
  { what: "open", title: "Still due", todo: "", now: false },
];

export function andMore(count: number): string {
  return `and ${count} more`;
}

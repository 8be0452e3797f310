// Usual cautions for work that can hurt. They defer to labels, local rules and licensed practice.

import type { Work } from "../../model/words";
import { t, word, type Text } from "../../words";

export const WIRE_OFF = word(
  "Cut it off piece by piece; do not unwind it. Wire ends spring: glasses on, hold both sides of the cut.",
);
export const wireOff = (): string => t(WIRE_OFF);
const BLADE = word("Clean, sharp blades; cut away from your hand.");
const LIFT = word("Heavy pots: ask for a second pair of hands, lift from the knees.");

const BY_WORK: Partial<Record<Work, readonly Text[]>> = {
  repotted: [LIFT, word("Moisten dry mix before pouring it, and wear a mask against the dust.")],
  root_pruned: [BLADE, LIFT],
  decandled: [BLADE],
  needles_thinned: [word("Needles near the eyes: glasses on.")],
  cut_back: [BLADE],
  leader_cut: [BLADE, word("Hold a tall leader so that it does not whip back.")],
  sprayed: [
    word("Only what is allowed where you are, as its label says: dose, clothing, wind, waiting time."),
    word("Where a licence is needed, leave it to one who holds it."),
  ],
};

/** The caution that goes with a piece of work, or "". */
export function caution(task: Work): string {
  return (BY_WORK[task] ?? []).map((text) => t(text)).join(" ");
}

export const CULLED = word("Sick wood and roots: keep them off the compost and clean the blades; local rules may say more.");

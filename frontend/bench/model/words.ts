// The closed lists of words that records use; checked against nursery/models/words.py by a test.

export const PHASES = ["sown", "seedling", "roots", "trunk", "branches", "refinement"] as const;
/** From slack to harm, in this order. */
export const WIRE_STATES = ["loose", "snug", "marking", "biting", "sunk_in"] as const;
export const SOILS = ["wet", "moist", "dry"] as const;
export const BUDS = ["none", "few", "many"] as const;
export const WIRE_PARTS = ["trunk", "branch", "leader"] as const;
export const SCARS = ["none", "light", "deep"] as const;
export const LEAVINGS = ["died", "culled", "sold", "given"] as const;
export const STYLES = [
  "formal_upright",
  "informal_upright",
  "slanting",
  "semi_cascade",
  "cascade",
  "broom",
  "clump",
  "literati",
] as const;
export const WORKS = [
  "repotted",
  "root_pruned",
  "fed",
  "watered",
  "decandled",
  "needles_thinned",
  "defoliated",
  "cut_back",
  "leader_cut",
  "sprayed",
] as const;
export const ROLES = ["owner", "helper", "viewer"] as const;
export const FATES = ["pending", "applied", "set_aside", "withdrawn"] as const;

export type Phase = (typeof PHASES)[number];
export type WireState = (typeof WIRE_STATES)[number];
export type Soil = (typeof SOILS)[number];
export type Buds = (typeof BUDS)[number];
export type WirePart = (typeof WIRE_PARTS)[number];
export type Scars = (typeof SCARS)[number];
export type Leaving = (typeof LEAVINGS)[number];
export type Style = (typeof STYLES)[number];
export type Work = (typeof WORKS)[number];
export type Role = (typeof ROLES)[number];
export type FateWord = (typeof FATES)[number];

/** What a grower reads where the word itself will not do. */
const LABELS: Readonly<Record<string, string>> = {
  sunk_in: "sunk in",
  leader: "sacrifice leader",
  given: "given away",
  formal_upright: "formal upright",
  informal_upright: "informal upright",
  semi_cascade: "semi-cascade",
  root_pruned: "root-pruned",
  needles_thinned: "needles thinned",
  cut_back: "cut back",
  leader_cut: "leader cut",
  set_aside: "set aside",
};

/** The word as a grower reads it. */
export function label(word: string): string {
  return LABELS[word] ?? word;
}

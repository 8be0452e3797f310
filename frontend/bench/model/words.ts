// The closed lists of words that records use; checked against nursery/models/words.py by a test.

import { t, word, type Text } from "../words";

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

/** What a grower reads, as the shed says it. */
const LABELS: Readonly<Record<string, Text>> = {
  sown: word("sown"),
  seedling: word("seedling"),
  roots: word("roots"),
  trunk: word("trunk"),
  branches: word("branches"),
  refinement: word("refinement"),
  loose: word("loose"),
  snug: word("snug"),
  marking: word("marking"),
  biting: word("biting"),
  sunk_in: word("sunk in"),
  wet: word("wet"),
  moist: word("moist"),
  dry: word("dry"),
  none: word("none"),
  few: word("few"),
  many: word("many"),
  branch: word("branch"),
  leader: word("sacrifice leader"),
  light: word("light|scars"),
  deep: word("deep"),
  died: word("died"),
  culled: word("culled"),
  sold: word("sold"),
  given: word("given away"),
  repotted: word("repotted"),
  root_pruned: word("root-pruned"),
  fed: word("fed"),
  watered: word("watered"),
  decandled: word("decandled"),
  needles_thinned: word("needles thinned"),
  defoliated: word("defoliated"),
  cut_back: word("cut back"),
  leader_cut: word("leader cut"),
  sprayed: word("sprayed"),
};

/** The word as a grower reads it. */
export function label(code: string): string {
  const known = LABELS[code];
  return known ? t(known) : code.replaceAll("_", " ");
}

/** The shed's own species, by its slugs; checked against nursery/species.json by a test. */
const SPECIES: Readonly<Record<string, Text>> = {
  "japanese-black-pine": word("Japanese black pine"),
  "japanese-red-pine": word("Japanese red pine"),
  "japanese-white-pine": word("Japanese white pine"),
  "trident-maple": word("trident maple"),
  "japanese-maple": word("Japanese maple"),
  "chinese-elm": word("Chinese elm"),
  "shimpaku-juniper": word("shimpaku juniper"),
};

/** A species' name; of one that only the shed knows, what it told. */
export function speciesName(slug: string, told: string | undefined): string {
  const known = SPECIES[slug];
  return known ? t(known) : (told ?? slug);
}

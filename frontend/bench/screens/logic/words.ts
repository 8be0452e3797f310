// How the phone says things: one place for the words that several screens share.

import { settings } from "../../app/settings";
import { say, type Sentence } from "../../model/sentences";
import type { DueWhat, LocalRecord, TreeView } from "../../model/types";
import { label } from "../../model/words";
import { locale, t, tn, translated, word, type Text } from "../../words";
import { percent, shortDay, today } from "../../words/written";
import { length } from "./units";

/** With a capital first letter; tags and numbers stay as they are. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** What the shed says of a tree or a record, in this phone's language and unit. */
export function inWords(why: Sentence): string {
  return say(why, { word: translated, locale: locale(), unit: settings.value.unit, today: today() });
}

/** With a full stop, so that another sentence can follow. */
export function ended(text: string): string {
  return !text || /[.!?]$/.test(text) ? text : `${text}.`;
}

/**
 * A chance as the shed writes it: never "0%" or "100%", for nothing here is certain; rounded down, so that one below
 * a mark of 80% is never read as 80%.
 */
export function chance(p: number): string {
  if (p >= 0.995) return `>${percent(0.99)}`;
  const whole = Math.floor(100 * p + 1e-9);
  return whole < 1 ? `<${percent(0.01)}` : percent(whole / 100);
}

export const trees = (n: number): string => tn(n, "{n} tree", "{n} trees");
export const records = (n: number): string => tn(n, "{n} record", "{n} records");
export const photos = (n: number): string => tn(n, "{n} photo", "{n} photos");
export const minutes = (n: number): string => tn(n, "{n} minute", "{n} minutes");

const SHORT: Readonly<Record<string, Text>> = {
  on: word("wire on"),
  off: word("wire off"),
};

/** A wire state in the few letters that a cell or button holds. */
export function wireWord(state: string): string {
  const short = SHORT[state];
  return short ? t(short) : label(state);
}

/** What is due, in the few letters that a cell holds. */
export const DUE_WORD: Readonly<Record<DueWhat, Text>> = {
  wire: word("wire"),
  soil: word("soil"),
  buds: word("buds|due"),
  caliper: word("caliper"),
  roots: word("roots|due"),
  firm: word("firm?"),
  branches: word("branch|due"),
};

/** What is due, where there is no reason to tell. */
export const DUE: Readonly<Record<DueWhat, Text>> = {
  wire: word("look due: wire"),
  soil: word("look due: soil"),
  buds: word("look due: buds"),
  caliper: word("look due: caliper"),
  roots: word("look due: roots"),
  firm: word("look due: firm?"),
  branches: word("look due: branches"),
};

const GATE: Readonly<Record<string, Text>> = {
  roots: word("Ready for the root years"),
  trunk: word("Ready for the trunk"),
  branches: word("Ready for branches"),
  refinement: word("Ready for refinement"),
};

export function gateWord(gate: string): string {
  const known = GATE[gate];
  return known ? t(known) : gate;
}

const CRITERION: Readonly<Record<string, Text>> = {
  alive: word("sure to be alive"),
  season_old: word("one season old"),
  firm: word("firm in its pot"),
  roots_spread: word("roots on all sides"),
  roots_level: word("roots level"),
  no_defect: word("no root defect"),
  at_target: word("trunk as thick as the target"),
  taper: word("taper"),
  wire_done: word("first wire off without scars"),
  low_buds: word("live buds low down"),
  primaries: word("primary branches set"),
  internodes: word("short internodes"),
  order: word("order of branching"),
};

export function criterionWord(name: string): string {
  const known = CRITERION[name];
  return known ? t(known) : name.replaceAll("_", " ");
}

/** "black pine, 4 years, trunk". */
export function about(tree: TreeView, species: string, now: Date = new Date()): string {
  const sown = tree.sown === null ? Number.NaN : Number(String(tree.sown).slice(0, 4));
  const age = Number.isFinite(sown) ? now.getFullYear() - sown : Number.NaN;
  const years = Number.isFinite(age) ? (age < 1 ? t("sown this year") : tn(age, "{n} year", "{n} years")) : "";
  return [species, years, label(tree.phase)].filter(Boolean).join(", ");
}

/** A wire, soil or bud state told after the name of the thing. */
const SEEN: Readonly<Record<"wire" | "soil" | "buds", (state: string) => string>> = {
  wire: (state) => t("wire {state}", { state: wireWord(state) }),
  soil: (state) => t("soil {state}", { state: label(state) }),
  buds: (state) => t("buds {state}", { state: label(state) }),
};

/** "wire biting 25 Nov 2026, soil moist 1 Dec 2026": what the shed last knew of the quick checks. */
export function lastLooks(tree: TreeView): string {
  const looks: string[] = [];
  for (const what of ["wire", "soil", "buds"] as const) {
    const last = tree.st?.last[what];
    if (last) looks.push(`${SEEN[what](String(last[0]))} ${shortDay(last[1])}`);
  }
  return looks.join(", ");
}

type Say = (body: Record<string, unknown>) => string;
const of = (v: unknown): string => label(String(v));
const SAID: Readonly<Record<string, Say>> = {
  wire_look: (b) => SEEN.wire(String(b.state)),
  wire_on: (b) => t("wire put on the {part}", { part: of(b.part) }),
  wire_off: (b) =>
    b.scars && b.scars !== "none" ? t("wire taken off, {deep} scars", { deep: of(b.scars) }) : t("wire taken off"),
  soil_check: (b) => SEEN.soil(String(b.state)),
  bud_check: (b) => t("needle buds {state}", { state: of(b.state) }),
  firm_check: (b) => (b.firm ? t("firm in its pot") : t("loose in its pot")),
  caliper: (b) => t("caliper {length}", { length: length(Number(b.mm)) }),
  root_survey: (b) => tn(Array.isArray(b.roots) ? b.roots.length : 0, "{n} surface root", "{n} surface roots"),
  branch_survey: (b) => tn(Number(b.primaries), "{n} primary branch", "{n} primary branches"),
  note: (b) => t("note: {text}", { text: String(b.text) }),
  work_done: (b) => of(b.task),
  photo: (b) => (b.caption ? t("photo: {text}", { text: String(b.caption) }) : t("photo")),
  tree_left: (b) => t("left the nursery: {how}", { how: of(b.how) }),
  walk_started: () => t("walk started"),
  walk_ended: () => t("walk ended"),
  correction: (b) => ("withdraw" in b ? t("taken back") : t("put right")),
};

/** A record in a few words: "soil dry". */
export function said(kind: string, body: object): string {
  const text = SAID[kind]?.(body as Record<string, unknown>) ?? kind.replaceAll("_", " ");
  return "bulk" in body && body.bulk ? t("{text} (with the rest)", { text }) : text;
}

const STATE: Readonly<Record<LocalRecord["state"], Text>> = {
  waiting: word("to hand over"),
  acknowledged: word("handed over"),
  set_aside: word("set aside"),
};

/** What became of a record of this phone, in words. */
export function stateWord(local: LocalRecord): string {
  const state = t(STATE[local.state]);
  return local.withdrawn ? t("taken back, {state}", { state }) : state;
}

// How the phone says things: one place for the words that several screens share.

import type { DueWhat, LocalRecord, TreeView } from "../../model/types";
import { label } from "../../model/words";
import { length } from "./units";

/** The day of a date or time as a grower writes it: "1 June", with the year when it is another one. */
export function day(iso: string, now: Date = new Date()): string {
  const date = new Date(iso.length === 10 ? `${iso}T12:00:00` : iso);
  if (Number.isNaN(date.getTime())) return iso;
  const year = date.getFullYear() === now.getFullYear() ? undefined : ("numeric" as const);
  return date.toLocaleDateString("en-GB", { day: "numeric", month: "long", year });
}

export function clock(at: number | string): string {
  return new Date(at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

/** With a capital first letter; tags and numbers stay as they are. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A chance as the shed writes it: never "0%" or "100%", for nothing here is certain. */
export function chance(p: number): string {
  if (p < 0.005) return "<1%";
  return p >= 0.995 ? ">99%" : `${Math.round(p * 100)}%`;
}

/** "1 tree", "3 trees". */
export function many(n: number, one: string, more = `${one}s`): string {
  return `${n} ${n === 1 ? one : more}`;
}

const SHORT: Readonly<Record<string, string>> = {
  on: "wire on",
  off: "wire off",
};

/** A wire state in the few letters that a cell or button holds. */
export function wireWord(state: string): string {
  return SHORT[state] ?? label(state);
}

export const DUE_WORD: Readonly<Record<DueWhat, string>> = {
  wire: "wire",
  soil: "soil",
  buds: "buds",
  caliper: "caliper",
  roots: "roots",
  firm: "firm?",
  branches: "branch",
};

const GATE: Readonly<Record<string, string>> = {
  roots: "Ready for the root years",
  trunk: "Ready for the trunk",
  branches: "Ready for branches",
  refinement: "Ready for refinement",
};

export function gateWord(gate: string): string {
  return GATE[gate] ?? `Ready for ${gate}`;
}

const CRITERION: Readonly<Record<string, string>> = {
  alive: "sure to be alive",
  season_old: "one season old",
  firm: "firm in its pot",
  roots_spread: "roots on all sides",
  roots_level: "roots level",
  no_defect: "no root defect",
  at_target: "trunk as thick as the target",
  taper: "taper",
  wire_done: "first wire off without scars",
  low_buds: "live buds low down",
  primaries: "primary branches set",
  internodes: "short internodes",
  order: "order of branching",
};

export function criterionWord(name: string): string {
  return CRITERION[name] ?? name.replaceAll("_", " ");
}

/** "black pine, 4 years, trunk". */
export function about(tree: TreeView, species: string, now: Date = new Date()): string {
  const sown = tree.sown === null ? Number.NaN : Number(String(tree.sown).slice(0, 4));
  const age = Number.isFinite(sown) ? now.getFullYear() - sown : Number.NaN;
  const years = Number.isFinite(age) ? (age < 1 ? "sown this year" : many(age, "year")) : "";
  return [species, years, label(tree.phase)].filter(Boolean).join(", ");
}

/** "wire biting 25 Nov 2026, soil moist 1 Dec 2026": what the shed last knew of the quick checks. */
export function lastLooks(tree: TreeView): string {
  const looks: string[] = [];
  for (const what of ["wire", "soil", "buds"] as const) {
    const last = tree.st?.last[what];
    if (last) looks.push(`${what} ${label(String(last[0]))} ${shortDay(last[1])}`);
  }
  return looks.join(", ");
}

/** "25 Nov 2026". */
export function shortDay(iso: string): string {
  const date = new Date(iso.length === 10 ? `${iso}T12:00:00` : iso);
  if (Number.isNaN(date.getTime())) return iso;
  return date.toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" });
}

type Say = (body: Record<string, unknown>) => string;
const word = (v: unknown): string => label(String(v));
const SAID: Readonly<Record<string, Say>> = {
  wire_look: (b) => `wire ${wireWord(String(b.state))}`,
  wire_on: (b) => `wire put on the ${word(b.part)}`,
  wire_off: (b) => `wire taken off${b.scars && b.scars !== "none" ? `, ${word(b.scars)} scars` : ""}`,
  soil_check: (b) => `soil ${word(b.state)}`,
  bud_check: (b) => `needle buds ${word(b.state)}`,
  firm_check: (b) => (b.firm ? "firm in its pot" : "loose in its pot"),
  caliper: (b) => `caliper ${length(Number(b.mm))}`,
  root_survey: (b) => many(Array.isArray(b.roots) ? b.roots.length : 0, "surface root"),
  branch_survey: (b) => many(Number(b.primaries), "primary branch", "primary branches"),
  note: (b) => `note: ${String(b.text)}`,
  work_done: (b) => word(b.task),
  photo: (b) => (b.caption ? `photo: ${String(b.caption)}` : "photo"),
  tree_left: (b) => `left the nursery: ${word(b.how)}`,
  walk_started: () => "walk started",
  walk_ended: () => "walk ended",
  correction: (b) => ("withdraw" in b ? "taken back" : "put right"),
};

/** A record in a few words: "soil dry". */
export function said(kind: string, body: object): string {
  const text = SAID[kind]?.(body as Record<string, unknown>) ?? kind.replaceAll("_", " ");
  return "bulk" in body && body.bulk ? `${text} (with the rest)` : text;
}

/** What became of a record of this phone, in words. */
export function stateWord(local: LocalRecord): string {
  const state = { waiting: "to hand over", acknowledged: "handed over", set_aside: "set aside" }[local.state];
  return local.withdrawn ? `taken back, ${state}` : state;
}

// What a tree asks for, what has been answered on this walk, and how its cell says so.

import type { Due, DueWhat, FreshWhat, LocalRecord, Species, TreeView } from "../../model/types";
import { BUDS, SOILS, WIRE_STATES, label } from "../../model/words";
import { t } from "../../words";
import { length } from "./units";
import { DUE, DUE_WORD, inWords, sentence, wireWord } from "./words";

export interface Answer { value: string; record: string; kind: string; bulk: boolean }
export type Answers = Partial<Record<FreshWhat, Answer>>;
export type CheckName = "wire" | "soil" | "buds";

const NONE: Answers = {};
const ANSWERS: Readonly<Record<string, [FreshWhat, (body: Record<string, unknown>) => string]>> = {
  wire_look: ["wire", (b) => String(b.state)],
  wire_on: ["wire", () => "on"],
  wire_off: ["wire", () => "off"],
  soil_check: ["soil", (b) => String(b.state)],
  bud_check: ["buds", (b) => String(b.state)],
  firm_check: ["firm", (b) => (b.firm ? "firm" : "loose")],
  caliper: ["caliper", (b) => String(b.mm)],
  root_survey: ["roots", () => "roots"],
  branch_survey: ["branches", () => "branches"],
  note: ["note", () => "note"],
  work_done: ["work", (b) => String(b.task)],
};

/** Records of a walk with their corrections laid over them: those in force, oldest first. */
export function inForce(records: readonly LocalRecord[]): LocalRecord[] {
  const bodies = new Map<string, object>();
  const gone = new Set<string>();
  for (const { record } of records) {
    if (record.kind !== "correction") continue;
    const body = record.body as { replaces: string; withdraw?: true; body?: object };
    if (body.withdraw) gone.add(body.replaces);
    else if (body.body) bodies.set(body.replaces, body.body);
  }
  return records
    .filter((r) => r.record.kind !== "correction" && !r.withdrawn && !gone.has(r.record.id))
    .map((r) => {
      const body = bodies.get(r.record.id);
      return body ? { ...r, record: { ...r.record, body: body as typeof r.record.body } } : r;
    });
}

/** This walk's answers by tree; the newest of each sort. */
export function answersByTree(records: readonly LocalRecord[]): Map<string, Answers> {
  const all = new Map<string, Answers>();
  for (const { record } of inForce(records)) {
    const known = ANSWERS[record.kind];
    if (!known || !record.tree) continue;
    const body = record.body as Record<string, unknown>;
    const mine = all.get(record.tree) ?? {};
    mine[known[0]] = { value: known[1](body), record: record.id, kind: record.kind, bulk: body.bulk === true };
    all.set(record.tree, mine);
  }
  return all;
}

export function wireOn(tree: TreeView): boolean {
  const fresh = tree.fresh.wire?.state;
  if (fresh !== undefined) return fresh !== "off";
  return tree.st?.wire != null;
}

/** The wire's worst word known: this phone's own newer look, else the standing's. */
export function lastWire(tree: TreeView): string {
  const fresh = tree.fresh.wire?.state;
  return fresh !== undefined ? String(fresh) : (tree.st?.wire?.state ?? "");
}

/** Marking or worse: nobody may call this fine without a look of its own. */
export function wireDoubtful(tree: TreeView): boolean {
  return ["marking", "biting", "sunk_in"].includes(lastWire(tree));
}

const RANK: readonly DueWhat[] = ["wire", "soil", "buds", "firm", "caliper", "roots", "branches"];

/** What is due and not yet answered by this phone; worst first. */
export function openDues(tree: TreeView, answers: Answers = NONE): Due[] {
  return (tree.st?.due ?? [])
    .filter((d) => !answers[d.what] && !tree.fresh[d.what])
    .sort((a, b) => RANK.indexOf(a.what) - RANK.indexOf(b.what));
}

export interface Ask {
  what: CheckName;
  due: boolean;
  /** The answer given on this walk: a state's code. */
  value: string | undefined;
  bulk: boolean;
}

const OPTIONS: Readonly<Record<CheckName, readonly string[]>> = { wire: WIRE_STATES, soil: SOILS, buds: BUDS };

/** What may be answered. */
export function optionsOf(what: CheckName): { value: string; word: string }[] {
  return OPTIONS[what].map((value) => ({ value, word: what === "wire" ? wireWord(value) : label(value) }));
}

const CONIFERS = new Set(["two_flush_pine", "one_flush_pine", "juniper"]);

/** The button rows of a tree's sheet, top to bottom; soil is last so that it never moves under the thumb. */
export function asksOf(tree: TreeView, species: Species | undefined, answers: Answers = NONE): Ask[] {
  const due = new Set((tree.st?.due ?? []).map((d) => d.what));
  const open = new Set(openDues(tree, answers).map((d) => d.what));
  const conifer = CONIFERS.has(species?.habit ?? "");
  const buds = due.has("buds") || (conifer && (tree.phase === "trunk" || tree.phase === "branches"));
  const rows: CheckName[] = [];
  if (buds) rows.push("buds");
  if (wireOn(tree) || answers.wire?.kind === "wire_look") rows.push("wire");
  rows.push("soil");
  return rows.map((what) => {
    const mine = answers[what];
    const counts = mine && (what !== "wire" || mine.kind === "wire_look") ? mine : undefined;
    return {
      what,
      due: open.has(what),
      value: counts?.value,
      bulk: counts?.bulk ?? false,
    };
  });
}

/** quiet: nothing due. due: not looked at yet. done: looked at. hand: looked at, and it wants a hand. */
export type Look = "quiet" | "due" | "done" | "hand";
export interface Cell { look: Look; word: string }

function finding(answers: Answers): Cell | undefined {
  const wire = answers.wire?.value ?? "";
  if (wire === "biting") return { look: "hand", word: wireWord(wire) };
  if (wire === "sunk_in") return { look: "hand", word: t("sunk in|cell") };
  if (answers.soil?.value === "dry" && answers.work?.value !== "watered") return { look: "hand", word: label("dry") };
  if (answers.firm?.value === "loose") return { look: "hand", word: t("loose|pot") };
  return undefined;
}

function doneWord(answers: Answers): string {
  if (answers.wire && ["marking", "on", "off"].includes(answers.wire.value)) return wireWord(answers.wire.value);
  if (answers.soil?.value === "wet") return label("wet");
  if (answers.buds?.value === "none") return t("no buds");
  if (answers.soil || answers.wire || answers.buds || answers.firm) return t("fine");
  return answers.caliper ? length(Number(answers.caliper.value)) : t("noted");
}

/** How a cell on the bench looks and what it says. */
export function cellOf(tree: TreeView, answers: Answers = NONE): Cell {
  const found = finding(answers);
  if (found) return found;
  const open = openDues(tree, answers);
  if (open[0]) {
    const more = open.length > 1 ? ` +${open.length - 1}` : "";
    return { look: "due", word: t(DUE_WORD[open[0].what]) + more };
  }
  return Object.keys(answers).length ? { look: "done", word: doneWord(answers) } : { look: "quiet", word: "" };
}

/** One sentence: what is due and why; "" when nothing is. */
export function reason(tree: TreeView, answers: Answers = NONE): string {
  const open = openDues(tree, answers);
  return open.map((d) => sentence(inWords(d.why) || t(DUE[d.what]))).join(". ");
}

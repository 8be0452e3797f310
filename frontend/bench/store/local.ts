// The local view: what this phone's own records say before the shed has answered. A pure fold, done anew each time.

import { before } from "../model/hlc";
import type { Bodies, Fresh, FreshWhat, Kind, RecordOut, TreeRow } from "../model/types";
import type { LocalView, StoredRecord, StoredTree, Tables } from "./schema";

type Body = Record<string, never>;

/** For each kind of look: what it is about, and the state that it tells. */
const LOOKS: { [K in Kind]?: [FreshWhat, (body: Bodies[K]) => Fresh["state"]] } = {
  wire_on: ["wire", () => "on"],
  wire_look: ["wire", (body) => body.state],
  wire_off: ["wire", () => "off"],
  soil_check: ["soil", (body) => body.state],
  bud_check: ["buds", (body) => body.state],
  firm_check: ["firm", (body) => body.firm],
  caliper: ["caliper", (body) => body.mm],
  root_survey: ["roots", (body) => body.roots.length],
  branch_survey: ["branches", (body) => body.primaries],
  note: ["note", (body) => body.text],
  work_done: ["work", (body) => body.task],
};

/** For each kind that changes the tree itself: the fields that it sets. */
const CHANGES: { [K in Kind]?: (body: Bodies[K]) => LocalView["patch"] } = {
  tree_new: (body) => ({
    tag: body.tag,
    species: body.species,
    lot: body.lot ?? null,
    sown: body.sown_year ?? null,
    phase: body.phase ?? "seedling",
  }),
  tree_tag: (body) => ({ tag: body.tag }),
  target_set: (body) => ({
    target: { base_mm: body.base_mm ?? null, height_mm: body.height_mm ?? null, style: body.style ?? null },
  }),
  tree_move: (body) => ({ bench: body.bench, row: body.row ?? null, place: body.place ?? null }),
  phase_change: (body) => ({ phase: body.to }),
  tree_left: (body) => ({ left: body.how, bench: null, row: null, place: null }),
};

/** Fold one tree's unseen records (none is set aside), whatever their order; undefined where they say nothing. */
export function fold(tree: string, rows: readonly StoredRecord[]): LocalView | undefined {
  const live = rows.map((row) => row.record).sort(before);
  const last = new Map<string, RecordOut<"correction">>();
  for (const record of live) {
    if (isCorrection(record)) last.set(record.body.replaces, record);
  }
  const view: LocalView = { tree, isNew: false, patch: {}, fresh: {} };
  for (const record of live) {
    const body = bodyInForce(record, last.get(record.id));
    if (body) lay(view, record, body);
  }
  if (!view.isNew && !Object.keys(view.patch).length && !Object.keys(view.fresh).length) return undefined;
  if (view.patch.tag !== undefined) view.tagKey = view.patch.tag.toUpperCase();
  if (view.patch.bench !== undefined) {
    view.moved = 1;
    if (view.patch.bench !== null) view.bench = view.patch.bench;
  }
  return view;
}

function isCorrection(record: RecordOut): record is RecordOut<"correction"> {
  return record.kind === "correction";
}

/** The body after corrections; undefined where the record was taken back or is itself a correction. */
function bodyInForce(record: RecordOut, correction: RecordOut<"correction"> | undefined): Body | undefined {
  if (record.kind === "correction") return undefined;
  if (!correction) return record.body as Body;
  return "body" in correction.body ? (correction.body.body as Body) : undefined;
}

function lay(view: LocalView, record: RecordOut, body: Body): void {
  if (record.kind === "tree_new") view.isNew = true;
  const change = CHANGES[record.kind] as ((body: Body) => LocalView["patch"]) | undefined;
  if (change) Object.assign(view.patch, change(body));
  const look = LOOKS[record.kind] as [FreshWhat, (body: Body) => Fresh["state"]] | undefined;
  if (!look) return;
  view.fresh[look[0]] = {
    state: look[1](body),
    record: record.id,
    run: record.run,
    observed_at: record.observed_at,
    bulk: Boolean(body["bulk"]),
  };
}

/** Inside a transaction: make anew the local views of these trees. */
export async function refold(db: Tables, trees: Iterable<string>): Promise<void> {
  const ids = [...new Set(trees)];
  if (!ids.length) return;
  const rows = await db.records.where("[tree+unseen]").anyOf(ids.map((id) => [id, 1])).toArray();
  const byTree = new Map<string, StoredRecord[]>(ids.map((id) => [id, []]));
  for (const row of rows) byTree.get(row.tree!)!.push(row);
  const views: LocalView[] = [];
  const empty: string[] = [];
  for (const id of ids) {
    const view = fold(id, byTree.get(id)!);
    if (view) views.push(view);
    else empty.push(id);
  }
  if (views.length) await db.local.bulkPut(views);
  if (empty.length) await db.local.bulkDelete(empty);
}

const UNKNOWN: Omit<TreeRow, "id"> = {
  tag: "", species: "", phase: "seedling", sown: null, lot: null, bench: null, row: null, place: null,
  target: null, left: null, st: null,
};

/** The mirror's row with the local view laid over it; undefined where neither knows the tree. */
export function overlay(tree: StoredTree | undefined, view: LocalView | undefined) {
  if (!tree && !view?.isNew) return undefined;
  const id = tree?.id ?? view!.tree;
  const { on: _on, owes: _owes, tagKey: _tagKey, ...row } = tree ?? ({ ...UNKNOWN, id } as StoredTree);
  return { ...row, ...view?.patch, fresh: view?.fresh ?? {}, local: !tree };
}

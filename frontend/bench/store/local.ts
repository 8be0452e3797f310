// The local view: what this phone's own records say before the shed has answered. A pure fold, done anew each time.

import { before } from "../model/hlc";
import type { Bodies, Fresh, FreshWhat, Kind, RecordOut } from "../model/types";
import { acked } from "./acked";
import { firstUnseen, holding, type Range } from "./ranges";
import type { Tables } from "./tables";
import type { LocalView, Undone } from "./views";

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

/**
 * Fold one tree's unseen records (none is set aside); undefined where they say nothing. `seen`: this phone's records
 * that the mirror holds already and that an unseen correction is about. Either in any order.
 */
export function fold(tree: string, records: readonly RecordOut[], seen: readonly RecordOut[] = []): LocalView | undefined {
  const live = [...records].sort(before);
  const last = new Map<string, RecordOut<"correction">>();
  for (const record of live) {
    if (isCorrection(record)) last.set(record.body.replaces, record);
  }
  const view: LocalView = { tree, isNew: false, patch: {}, fresh: {} };
  for (const record of live) {
    const body = bodyInForce(record, last.get(record.id));
    if (body) lay(view, record, body);
  }
  const undone = [...seen].sort(before).flatMap((record) => undo(record, last.get(record.id)) ?? []);
  if (undone.length) view.undone = undone;
  return finished(view);
}

/** With the keys that it is found by; undefined where it says nothing. */
function finished({ tagKey: _tagKey, moved: _moved, bench: _bench, ...view }: LocalView): LocalView | undefined {
  const { patch } = view;
  const nothing = !Object.keys(patch).length && !Object.keys(view.fresh).length && !view.undone?.length;
  if (!view.isNew && nothing) return undefined;
  return {
    ...view,
    ...(patch.tag === undefined ? {} : { tagKey: patch.tag.toUpperCase() }),
    ...(patch.bench === undefined ? {} : { moved: 1 as const }),
    ...(patch.bench ? { bench: patch.bench } : {}),
  };
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

/** What a correction of a look that the mirror holds makes of it; other kinds wait for the shed's answer. */
function undo(record: RecordOut, correction: RecordOut<"correction"> | undefined): Undone | undefined {
  const look = LOOKS[record.kind] as Look | undefined;
  if (!correction || !look) return undefined;
  const undone: Undone = { what: look[0], was: look[1](record.body as Body), on: record.observed_at };
  const body = bodyInForce(record, correction);
  return body ? { ...undone, becomes: freshOf(record, look, body) } : undone;
}

type Look = [FreshWhat, (body: Body) => Fresh["state"]];

function freshOf(record: RecordOut, look: Look, body: Body): Fresh {
  return {
    state: look[1](body),
    record: record.id,
    run: record.run,
    observed_at: record.observed_at,
    bulk: Boolean(body["bulk"]),
  };
}

function lay(view: LocalView, record: RecordOut, body: Body): void {
  if (record.kind === "tree_new") view.isNew = true;
  const change = CHANGES[record.kind] as ((body: Body) => LocalView["patch"]) | undefined;
  if (change) Object.assign(view.patch, change(body));
  const look = LOOKS[record.kind] as Look | undefined;
  if (look) view.fresh[look[0]] = freshOf(record, look, body);
}

/**
 * A tree's local view with records of it just made, newer than all before, laid over it (undefined where it says
 * nothing); nothing at all where an older record must be folded anew.
 */
export function laidOver(
  view: LocalView | undefined, tree: string, made: readonly RecordOut[],
): { view: LocalView | undefined } | undefined {
  const next: LocalView = { isNew: false, ...view, tree, patch: { ...view?.patch }, fresh: { ...view?.fresh } };
  for (const record of made) {
    if (!isCorrection(record)) lay(next, record, record.body as Body);
    else if (!putRight(next, record)) return undefined;
  }
  return { view: finished(next) };
}

/** Give the newest look of its sort another word; false where the view alone does not tell what that makes of it. */
function putRight(view: LocalView, { body: { replaces, ...put } }: RecordOut<"correction">): boolean {
  const what = (Object.keys(view.fresh) as FreshWhat[]).find((one) => view.fresh[one]?.record === replaces);
  const fresh = what && view.fresh[what];
  const body = "body" in put ? (put.body as { state?: unknown; bulk?: unknown }) : undefined;
  if (!fresh || typeof body?.state !== "string") return false;
  // Wire put on or taken off is told by the kind of its record, whatever its body says.
  if (!(what === "soil" || what === "buds" || (what === "wire" && fresh.state !== "on" && fresh.state !== "off"))) return false;
  view.fresh[what] = { ...fresh, state: body.state, bulk: Boolean(body.bulk) };
  return true;
}

/** What the local views of the trees of some drafts are made from. */
export interface Ground {
  views: ReadonlyMap<string, LocalView>;
  /** All records of the trees that are corrected, as long as these are few. */
  own: ReadonlyMap<string, readonly RecordOut[]>;
  asides: ReadonlySet<number>;
}

/** Inside a transaction: read it beside all else that a capture asks, for each wait is felt under the thumb. */
export async function ground(db: Tables, drafts: readonly Pick<RecordOut, "kind" | "tree">[]): Promise<Ground> {
  const trees = [...new Set(drafts.flatMap(({ tree }) => tree ?? []))];
  const corrected = [...new Set(drafts.flatMap(({ kind, tree }) => (kind === "correction" && tree ? tree : [])))];
  const few = corrected.length <= FEW ? corrected : [];
  const [views, asides, ...own] = await Promise.all([
    db.local.bulkGet(trees),
    few.length ? asideNumbers(db) : new Set<number>(),
    ...few.map((id) => db.log.where("[tree+device_seq]").between([id, -Infinity], [id, Infinity]).toArray()),
  ]);
  return {
    views: new Map(views.flatMap((view) => (view ? [[view.tree, view]] : []))),
    own: new Map(few.map((id, i) => [id, own[i] ?? []])),
    asides,
  };
}

/**
 * Inside a transaction, beside the writing of the records just made: lay them over the local views. They are newer
 * than all that this phone made before, so no older record is folded again, but where one is corrected. Where too
 * many trees are for `ground` to know theirs, a `refold` must follow.
 */
export async function layOn(
  db: Tables, made: readonly RecordOut[], { views, own, asides }: Ground, ranges: readonly Range[],
): Promise<void> {
  const byTree = new Map<string, RecordOut[]>();
  for (const record of made) {
    if (!record.tree) continue;
    const mine = byTree.get(record.tree);
    if (mine) mine.push(record);
    else byTree.set(record.tree, [record]);
  }
  const all = [...own.values()].flat().concat(made.filter(({ tree }) => tree && own.has(tree)));
  const written = [...byTree].flatMap(([tree, mine]) => {
    return mine.some(isCorrection) ? [] : (laidOver(views.get(tree), tree, mine)?.view ?? []);
  });
  db.known.views(written);
  await Promise.all([
    written.length && db.local.bulkPut(written),
    own.size && replace(db, [...own.keys()], all, ranges, asides),
  ]);
}

/** Inside a transaction: make anew the local views of these trees. `known`: what is acknowledged, where it was read. */
export async function refold(db: Tables, trees: Iterable<string>, known?: readonly Range[]): Promise<void> {
  const ids = [...new Set(trees)];
  if (!ids.length) return;
  const ranges = known ?? (await acked(db));
  const first = firstUnseen(ranges);
  const [asides, ...found] = await Promise.all([asideNumbers(db), ...ids.map((id) => {
    return db.log.where("[tree+device_seq]").between([id, first], [id, Infinity], true, true).toArray();
  })]);
  await replace(db, ids, found.flat(), ranges, asides);
}

/** Inside a transaction: make anew all local views, from what the mirror does not hold yet. */
export async function refoldAll(db: Tables): Promise<void> {
  const ranges = await acked(db);
  const rest = await db.log.where(":id").aboveOrEqual(firstUnseen(ranges)).toArray();
  await db.local.clear();
  db.known.noViews();
  await replace(db, [...new Set(rest.flatMap((record) => record.tree ?? []))], rest, ranges, await asideNumbers(db));
}

async function asideNumbers(db: Tables): Promise<Set<number>> {
  return new Set(await db.aside.toCollection().primaryKeys());
}

/** `records`: all of these trees from the first unseen one on. */
async function replace(
  db: Tables, trees: readonly string[], records: readonly RecordOut[], ranges: readonly Range[], asides: ReadonlySet<number>,
): Promise<void> {
  const isSeen = (record: RecordOut) => holding(ranges, record.device_seq)?.seen === 1;
  const good = (record: RecordOut) => !asides.has(record.device_seq);
  const unseen = records.filter((record) => good(record) && !isSeen(record));
  const byTree = new Map<string, RecordOut[]>(trees.map((tree) => [tree, []]));
  for (const record of unseen) if (record.tree) byTree.get(record.tree)?.push(record);
  const targets = new Set(unseen.flatMap((record) => (isCorrection(record) ? record.body.replaces : [])));
  const near = records.filter((record) => targets.delete(record.id));
  // Each question of the database is felt under the thumb: mostly what is corrected is at hand.
  const far = targets.size ? await db.log.where("id").anyOf([...targets]).toArray() : [];
  const seen = [...near, ...far].filter((record) => good(record) && isSeen(record));
  const views: LocalView[] = [];
  const empty: string[] = [];
  for (const [tree, mine] of byTree) {
    const view = fold(tree, mine, seen.filter((record) => record.tree === tree));
    if (view) views.push(view);
    else empty.push(tree);
  }
  db.known.views(views);
  db.known.none(empty);
  if (views.length) await db.local.bulkPut(views);
  if (empty.length) await db.local.bulkDelete(empty);
}

/** Past so many corrected trees each is asked for only from its first unseen record on. */
const FEW = 20;

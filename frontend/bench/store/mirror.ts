// The mirror: what the shed last said, and nothing else. Pages come in whole or not at all.

import type { Table } from "dexie";
import { inWalkingOrder } from "../model/order";
import type { TreeRow, TreeView } from "../model/types";
import { refoldAll } from "./local";
import { acked, setAcked } from "./acked";
import { fromFate, noteEpoch, refoldOf } from "./outbox";
import { holding } from "./ranges";
import { overlay } from "./overlay";
import { noTally, putTrees, tallies, type Tallies, type Tally } from "./tallies";
import { NO_BREATH, type Breath } from "./breath";
import type { Trees } from "./hearers";
import { getMeta, setMeta } from "./meta";
import type { StoredTree } from "./schema";
import type { Tables } from "./tables";
import type { LocalView } from "./views";

export type FeedRow = [topic: string, key: string, data: Record<string, unknown> | null];
export interface Cursor { epoch: string; seq: number }
export interface Page { rows: FeedRow[]; cursor: Cursor; last: boolean }

type Data = Record<string, unknown>;

/** How a row of each topic is kept; a topic that this app does not know yet is passed over. */
const HOMES: Record<string, { table: (db: Tables) => unknown; row: (key: string, data: Data) => object }> = {
  tree: { table: (db) => db.trees, row: asTree },
  bench: { table: (db) => db.benches, row: byId },
  site: { table: (db) => db.sites, row: byId },
  lot: { table: (db) => db.lots, row: byId },
  species: { table: (db) => db.species, row: (slug, data) => ({ ...data, slug }) },
  fate: { table: (db) => db.fates, row: byId },
  plan: { table: (db) => db.plans, row: byId },
};

function byId(id: string, data: Data): object {
  return { ...data, id };
}

function asTree(id: string, data: Data): StoredTree {
  const tree = { ...data, id } as unknown as TreeRow;
  const row: StoredTree = { ...tree, st: null, owes: tree.st?.due?.length ? 1 : 0, tagKey: tree.tag.toUpperCase() };
  if (tree.st) row.told = JSON.stringify(tree.st);
  if (tree.bench && !tree.left) row.on = tree.bench;
  return row;
}

function all(db: Tables) {
  const told = [db.trees, db.benches, db.sites, db.lots, db.species, db.fates, db.plans];
  return [...told, db.meta, db.log, db.aside, db.local];
}

/** One page and its cursor, in one transaction; with the last page, what the mirror now holds is no longer fresh. */
export function applyPage(db: Tables, page: Page): PromiseLike<void> {
  // Dexie follows native await only from a scope that is itself async.
  return db.transaction("rw", all(db), async () => {
    await put(db, page);
  });
}

/** A changed epoch: the whole mirror, old for new, in one transaction; the bench is never empty in between. */
export function replaceMirror(db: Tables, page: Page): PromiseLike<void> {
  return db.transaction("rw", all(db), async () => {
    for (const table of [db.trees, db.benches, db.sites, db.lots, db.species, db.fates, db.plans]) await table.clear();
    await setMeta(db, "tallies", {});
    await put(db, page);
    await forgive(db);
    await setMeta(db, "offer_due", true);
  });
}

async function put(db: Tables, { rows, cursor, last }: Page): Promise<void> {
  const topics = new Map<string, Map<string, Data | null>>();
  for (const [topic, key, data] of rows) {
    if (!topics.has(topic)) topics.set(topic, new Map());
    topics.get(topic)!.set(key, data);
  }
  for (const [topic, things] of topics) {
    const home = HOMES[topic];
    if (!home) continue;
    const table = home.table(db) as Table<object, string>;
    const kept = [...things].flatMap(([key, data]) => (data === null ? [] : home.row(key, data)));
    const gone = [...things].filter(([, data]) => data === null).map(([key]) => key);
    if (topic === "tree") {
      await putTrees(db, kept as StoredTree[], gone);
      continue;
    }
    if (kept.length) await table.bulkPut(kept);
    if (gone.length) await table.bulkDelete(gone);
    if (topic === "fate") await settle(db, [...things.keys()]);
  }
  await setMeta(db, "cursor", cursor);
  await noteEpoch(db, cursor.epoch, false);
  if (last) await seen(db);
}

/** Our own acknowledged records follow what the shed says of them later. */
async function settle(db: Tables, ids: readonly string[]): Promise<void> {
  const ranges = await acked(db);
  const mine = await db.log.where("id").anyOf([...ids]).toArray();
  const told = mine.filter((record) => holding(ranges, record.device_seq));
  if (!told.length) return;
  const fates = await db.fates.bulkGet(told.map((record) => record.id));
  const seqs = told.map((record) => record.device_seq);
  await db.aside.bulkDelete(seqs.filter((_, i) => fates[i]?.fate !== "set_aside"));
  await db.aside.bulkPut(seqs.flatMap((seq, i) => (fates[i]?.fate === "set_aside" ? fromFate(seq, fates[i]) : [])));
  await refoldOf(db, seqs);
}

/** What the shed had set aside and, restored, no longer has: its fate of then is gone with the old mirror. */
async function forgive(db: Tables): Promise<void> {
  // Of an id used twice the shed tells no fate: that stays as it was answered.
  const rows = (await db.aside.toArray()).filter((row) => row.reason !== "id_reused");
  const records = await db.log.bulkGet(rows.map((row) => row.seq));
  const fates = await db.fates.bulkGet(records.map((record) => record?.id ?? ""));
  const free = rows.filter((_, i) => !fates[i]).map((row) => row.seq);
  await db.aside.bulkDelete(free);
  await refoldOf(db, free);
}

/** All that was acknowledged before this fetch began is in the mirror now. */
async function seen(db: Tables): Promise<void> {
  const ranges = await acked(db);
  if (ranges.every((range) => range.seen)) return;
  await setAcked(db, ranges.map((range) => ({ ...range, seen: 1 })));
  await refoldAll(db);
}

export function cursor(db: Tables): PromiseLike<Cursor | undefined> {
  return getMeta<Cursor>(db, "cursor");
}

// ---- reads ----

async function views(db: Tables, trees: readonly StoredTree[], extra: readonly string[] = []): Promise<TreeView[]> {
  const known = new Map(trees.map((tree) => [tree.id, tree]));
  const missing = extra.filter((id) => !known.has(id));
  for (const tree of await db.trees.bulkGet(missing)) if (tree) known.set(tree.id, tree);
  const ids = [...new Set([...known.keys(), ...extra])];
  const local = await localOf(db, ids);
  return ids.flatMap((id, i) => overlay(known.get(id), local[i]) ?? []);
}

/** A browser answers one question for all of them sooner than many questions. */
const FEW = 50;

async function localOf(db: Tables, ids: readonly string[]): Promise<(LocalView | undefined)[]> {
  if (ids.length <= FEW) return db.local.bulkGet([...ids]);
  const all = new Map((await db.local.toArray()).map((view) => [view.tree, view]));
  return ids.map((id) => all.get(id));
}

/** So many trees are read at a time: a tap that comes meanwhile waits for no more. */
const PORTION = 250;

/** The trees of a bench as `shown`, place by place in portions; after them those that stand without a place. */
async function standing<T>(db: Tables, bench: string, shown: (tree: StoredTree) => T, breath: Breath): Promise<Map<string, T>> {
  const found = new Map<string, T>();
  const after = (last: StoredTree | undefined) => [bench, last?.row ?? -Infinity, last?.place ?? -Infinity];
  for (let last: StoredTree | undefined, more = true; more; ) {
    // From the last place on: two trees may stand there.
    const range = db.trees.where("[on+row+place]").between(after(last), [bench, Infinity, Infinity]);
    const some = await range.limit(PORTION).toArray();
    const before = found.size;
    for (const tree of some) found.set(tree.id, shown(tree));
    last = some.at(-1);
    more = some.length === PORTION && found.size > before;
    await breath();
  }
  const all = (await getMeta<Tallies>(db, "tallies"))?.[bench]?.trees;
  if (found.size === all) return found;
  const ids = await db.trees.where("on").equals(bench).primaryKeys();
  const others = await db.trees.bulkGet(ids.filter((id) => !found.has(id)));
  for (const tree of others) if (tree?.on === bench) found.set(tree.id, shown(tree));
  return found;
}

/**
 * The trees that stand on a bench by the mirror and this phone's own moves, in walking order. In several readings: a
 * tap must not wait until thousands are read. Who changes anything in between tells of it.
 */
export async function treesOf(db: Tables, bench: string, breath = NO_BREATH): Promise<TreeView[]> {
  const local = await db.local.toArray();
  db.known.views(local);
  const laid = new Map(local.map((view) => [view.tree, view]));
  const here = await standing(db, bench, (tree) => overlay(tree, laid.get(tree.id)), breath);
  const moved = local.filter((view) => view.bench === bench && !here.has(view.tree));
  const others = moved.length ? await db.trees.bulkGet(moved.map((view) => view.tree)) : [];
  const all = [...here.values(), ...moved.map((view, i) => overlay(others[i], view))];
  return inWalkingOrder(all.filter((tree) => tree?.bench === bench && !tree.left) as TreeView[]);
}

export function tree(db: Tables, id: string): PromiseLike<TreeView | undefined> {
  return db.transaction("r", [db.trees, db.local], async () => (await views(db, [], [id]))[0]);
}

export function treesBy(db: Tables, ids: readonly string[]): PromiseLike<TreeView[]> {
  return db.transaction("r", [db.trees, db.local], async () => views(db, [], ids));
}

/** The trees that a page may change: those that it names, and those whose own records it may have brought. */
export async function treesIn(db: Tables, page: Page): Promise<Trees> {
  if (page.rows.some(([topic]) => topic === "bench")) return undefined;
  const named = page.rows.flatMap(([topic, key]) => (topic === "tree" ? key : []));
  return page.last ? [...named, ...(await db.local.toCollection().primaryKeys())] : named;
}

export function findByTag(db: Tables, prefix: string): PromiseLike<TreeView[]> {
  const key = prefix.trim().toUpperCase();
  return db.transaction("r", [db.trees, db.local], async () => {
    const found = await db.trees.where("tagKey").startsWith(key).limit(50).toArray();
    const local = await db.local.where("tagKey").startsWith(key).limit(50).primaryKeys();
    return (await views(db, found, local))
      .filter((view) => view.tag.toUpperCase().startsWith(key))
      .sort((a, b) => (a.tag < b.tag ? -1 : 1))
      .slice(0, 50);
  });
}

/** What each bench asks for, by the mirror and this phone's own records; no tree is read but those it recorded on. */
export function benchCounts(db: Tables): PromiseLike<Map<string, Tally>> {
  return db.transaction("r", [db.trees, db.local, db.benches, db.meta], async () => {
    const [benches, all] = await Promise.all([db.benches.toCollection().primaryKeys(), tallies(db)]);
    return new Map(benches.map((bench) => [bench, all[bench] ?? noTally()]));
  });
}

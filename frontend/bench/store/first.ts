// The first look of an app that is opened again: the walk as it was left, and of its bench what is in sight. Read
// straight from the browser while the store itself is not even loaded: of a bench of thousands the reading of all
// is what an opening takes longest. Nothing is written, and whatever is not as usual is left to the store.

import type { Bench, LocalRecord, Me, Species, TreeView, WalkState } from "../model/types";
import { asLocal } from "./became";
import { overlay } from "./overlay";
import { gaps, type Range } from "./ranges";
import { LAYOUT, type Aside, type StoredTree } from "./schema";
import type { Tallies } from "./tallies";
import type { LocalView } from "./views";

export interface FirstLook {
  me: Me;
  species: Map<string, Species>;
  walk: WalkState;
  bench: Bench;
  /** Those in reach of the tree at hand, in no order; of a small bench all. */
  trees: TreeView[];
  /** How many stand on the bench. */
  all: number;
  /** The walk's records, oldest first. */
  records: LocalRecord[];
  /** How many trees the walk has looked at beside those that these records tell of. */
  beyond: number;
  /** Records and pictures that wait for the shed. */
  waiting: number;
  photos: number;
}

/** How far is looked around the tree at hand. [rows, places] */
export interface Reach { rows: number; places: number }

/** A bench of no more trees is looked at whole. */
export const SMALL = 120;
/** Past so many records since the last sync, or of this walk, the look would be no quicker than the reading of all. */
const MOST = 1500;
/** What lies ahead in the row, for the next tree that asks for something. [places] */
const AHEAD = 6;
/** Undefined where no walk is open, where it follows a plan, and where anything is not as usual. */
export async function firstLook(name: string, reach: () => Reach): Promise<FirstLook | undefined> {
  const db = await opened(name).catch(() => undefined);
  if (!db) return undefined;
  // A newer app in another tab must not wait for us.
  db.onversionchange = () => db.close();
  try {
    return db.version === LAYOUT ? await look(db, reach) : undefined;
  } catch {
    return undefined;
  } finally {
    db.close();
  }
}

function opened(name: string): Promise<IDBDatabase> {
  const asked = indexedDB.open(name);
  // There is none: the store makes it.
  asked.onupgradeneeded = () => asked.transaction?.abort();
  return answer(asked);
}

function answer<T>(asked: IDBRequest<T>): Promise<T> {
  return new Promise((done, failed) => {
    asked.onsuccess = () => done(asked.result);
    asked.onerror = (event) => {
      event.preventDefault();
      failed(asked.error ?? new Error("not read"));
    };
  });
}

const TABLES = ["meta", "benches", "species", "trees", "local", "log", "aside", "records", "photos"];

async function look(db: IDBDatabase, reach: () => Reach): Promise<FirstLook | undefined> {
  const reading = db.transaction(TABLES);
  const all = <T>(table: string, most?: number) => answer<T[]>(reading.objectStore(table).getAll(null, most));
  const small = new Map((await all<{ key: string; value: unknown }>("meta")).map(({ key, value }) => [key, value]));
  const me = small.get("me") as Me | undefined;
  const walk = small.get("walk") as WalkState | undefined;
  if (!me || !walk?.tree || walk.plan) return undefined;
  // Asked of the browser, a count of thousands takes longer than all else here.
  const count = (small.get("tallies") as Tallies | undefined)?.[walk.bench]?.trees;
  if (!count) return undefined;
  const ranges = (small.get("acked") as Range[] | undefined) ?? [];
  const trees = reading.objectStore("trees");
  const [bench, species, here, views, log, waiting, photos, old] = await Promise.all([
    answer<Bench | undefined>(reading.objectStore("benches").get(walk.bench)),
    all<Species>("species"),
    answer<StoredTree | undefined>(trees.get(walk.tree)),
    all<LocalView>("local", MOST),
    ofRun(reading, walk.run, ranges),
    waitingIn(reading, ranges),
    answer(reading.objectStore("photos").index("[state+seq]").count(between(["waiting", -Infinity], ["waiting", Infinity]))),
    answer(reading.objectStore("records").count()),
  ]);
  // Who stands where is the shed's word alone here: what was moved on this phone since is laid out by the store.
  const usual = !old && log.length < MOST && views.length < MOST && !views.some((view) => view.moved);
  if (!usual || !bench || here?.on !== bench.id) return undefined;
  const seen = await (count <= SMALL ? answer<StoredTree[]>(trees.index("on").getAll(bench.id)) : around(trees, here, reach()));
  const laid = new Map(views.map((view) => [view.tree, view]));
  const found = seen?.flatMap((tree) => overlay(tree, laid.get(tree.id)) ?? []);
  if (!found?.some((tree) => tree.id === walk.tree)) return undefined;
  const bySlug = new Map(species.map((row) => [row.slug, row]));
  return { me, species: bySlug, walk, bench, trees: found, all: count, records: log, beyond: 0, waiting, photos };
}

function between(from: IDBValidKey, to: IDBValidKey): IDBKeyRange {
  return IDBKeyRange.bound(from, to);
}

async function ofRun(reading: IDBTransaction, run: string, ranges: readonly Range[]): Promise<LocalRecord[]> {
  const [records, asides] = await Promise.all([
    answer<LocalRecord["record"][]>(reading.objectStore("log").index("run").getAll(run, MOST)),
    answer<Aside[]>(reading.objectStore("aside").getAll()),
  ]);
  // A correction belongs to the walk of what it corrects. An index gives them by their number.
  return asLocal(records, records, { ranges, asides: new Map(asides.map((aside) => [aside.seq, aside])) });
}

async function waitingIn(reading: IDBTransaction, ranges: readonly Range[]): Promise<number> {
  const log = reading.objectStore("log");
  const counts = await Promise.all(gaps(ranges).map(([from, to]) => answer(log.count(between(from, to)))));
  return counts.reduce((sum, one) => sum + one, 0);
}

interface Near {
  top: number;
  bottom: number;
  /** From place to place, ends included, in a row: all that is seen of it, and in the tree's own what lies ahead. */
  places: (row: number) => readonly [number, number];
}

/** What is looked at around a tree, ends included; undefined where it has no place. */
export function near({ row, place }: Pick<StoredTree, "row" | "place">, reach: Reach): Near | undefined {
  if (!row || !place) return undefined;
  const [left, right] = [Math.max(1, place - reach.places), Math.max(place, reach.places) + 1];
  return {
    top: Math.max(1, row - reach.rows),
    bottom: Math.max(row + 2, reach.rows + 1),
    places: (one) => [left, one === row ? Math.max(place + AHEAD, right) : right],
  };
}

/** Row by row: however wide a bench is, only what may be in sight is read. */
async function around(trees: IDBObjectStore, here: StoredTree, reach: Reach): Promise<StoredTree[] | undefined> {
  const part = near(here, reach);
  if (!part) return undefined;
  const { top, bottom, places } = part;
  const { on } = here;
  const standing = trees.index("[on+row+place]");
  const rows = Array.from({ length: bottom - top + 1 }, (_, at) => {
    const [left, right] = places(top + at);
    return answer<StoredTree[]>(standing.getAll(between([on!, top + at, left], [on!, top + at, right])));
  });
  return (await Promise.all(rows)).flat();
}

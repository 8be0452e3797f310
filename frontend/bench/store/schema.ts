// What stands in IndexedDB, and every step from an older layout to this one. Nothing is ever dropped on the way.

import { Dexie, type Table, type Transaction } from "dexie";
import type { Plan } from "../model/plan";
import type { Sentence } from "../model/sentences";
import type { Bench, Fate, LocalState, Lot, RecordOut, Site, Species, TreeRow } from "../model/types";
import { Known } from "./known";
import type { LocalView } from "./views";

/** What the shed said of a record that it set aside; where that came with the feed, without the field. */
export interface Aside { seq: number; reason: string; field: string; message: Sentence; mend: Sentence }

/** A record in the first layout, where each had its own state. A phone that comes back after years has them yet. */
export interface OldRecord {
  id: string;
  seq: number;
  state: LocalState;
  unseen: 0 | 1;
  /** Server time of the acknowledgement [ms]; absent while waiting. */
  ackedAt?: number;
  record: RecordOut;
  reason: string;
  field: string;
  message: Sentence;
  mend: Sentence;
}

/**
 * `on`: the bench where the tree still stands; `owes`: something is due. `told`: the standing as text, and `st` null:
 * a browser reads a text sooner than what it says, and of a bench of thousands few are asked. Rows from before have `st`.
 */
export interface StoredTree extends TreeRow { on?: string; owes: 0 | 1; tagKey: string; told?: string }

/** One picture of this phone; its bytes stand apart, so that a list of pictures reads none. */
export interface StoredPhoto {
  id: string;
  /** Its record's number: pictures go in the order they were taken. */
  seq: number;
  record: string;
  tree: string;
  state: "waiting" | "kept" | "refused";
  sha256: string;
  bytes: number;
  width: number;
  height: number;
  takenAt: string;
  /** Server time [ms] at which the shed had it whole, and the shed's epoch then. */
  keptAt?: number;
  epoch?: string;
  message: string;
  mend: string;
}

export class Tables extends Dexie {
  /** Every record that this phone holds, as it was made; never written again. What became of it: `outbox.ts`. */
  declare log: Table<RecordOut, number>;
  declare aside: Table<Aside, number>;
  /** The first layout's. An older app, where a shed was set back to one, writes here; `old.ts` takes it over. */
  declare records: Table<OldRecord, string>;
  declare local: Table<LocalView, string>;
  declare trees: Table<StoredTree, string>;
  declare benches: Table<Bench, string>;
  declare sites: Table<Site, string>;
  declare species: Table<Species, string>;
  declare lots: Table<Lot, string>;
  declare fates: Table<Fate, string>;
  declare plans: Table<Plan, string>;
  declare meta: Table<{ key: string; value: unknown }, string>;
  declare photos: Table<StoredPhoto, string>;
  /** ArrayBuffers: Safari loses Blobs. */
  declare photoData: Table<{ id: string; data: ArrayBuffer }, string>;
  readonly known = new Known();

  constructor(name: string, versions: readonly Version[] = VERSIONS) {
    // Strict: a record is on the disk, not in a cache, when its transaction is done.
    super(name, { chromeTransactionDurability: "strict" });
    versions.forEach(({ tables, upgrade }, at) => {
      const version = this.version(at + 1).stores(tables);
      if (upgrade) version.upgrade(upgrade);
    });
  }
}

export interface Version {
  tables: Record<string, string | null>;
  upgrade?: (tx: Transaction) => PromiseLike<unknown>;
}

/** Append only: a phone may come back after years with records that wait in any of these layouts. */
export const VERSIONS: readonly Version[] = [
  {
    tables: {
      records: "id, state, [state+seq], [tree+unseen], tree, run, target, unseen, ackedAt",
      local: "tree, bench, moved, tagKey",
      trees: "id, on, [on+owes], tagKey",
      benches: "id",
      sites: "id",
      species: "slug",
      lots: "id",
      fates: "id",
      meta: "key",
    },
  },
  { tables: { log: "device_seq, &id, [tree+device_seq], run, body.replaces", aside: "seq" } },
  { tables: { photos: "id, [state+seq], tree, keptAt", photoData: "id" } },
  { tables: { plans: "id" } },
];

/** One value of the small things: clock, counter, cursor, walk, the phone's own name. */
export function getMeta<T>(db: Tables, key: string): PromiseLike<T | undefined> {
  return db.meta.get(key).then((row) => row?.value as T | undefined);
}

export function setMeta(db: Tables, key: string, value: unknown): PromiseLike<void> {
  return value === undefined ? db.meta.delete(key) : db.meta.put({ key, value }).then(() => undefined);
}

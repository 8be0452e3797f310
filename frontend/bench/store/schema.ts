// What stands in IndexedDB, and every step from an older layout to this one. Nothing is ever dropped on the way.

import type { Transaction } from "dexie";
import type { Sentence } from "../model/sentences";
import type { LocalState, RecordOut, TreeRow } from "../model/types";

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
  // Where on its bench a tree stands, for the first look around a place.
  { tables: { trees: "id, on, [on+owes], tagKey, [on+row+place]" } },
];

/** The browser's own number of the newest layout: Dexie counts in tens. */
export const LAYOUT = VERSIONS.length * 10;

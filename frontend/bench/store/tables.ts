// The tables as Dexie opens them. A room of its own: what is read before it is loaded needs the layout alone.

import { Dexie, type Table } from "dexie";
import type { Plan } from "../model/plan";
import type { Bench, Fate, Lot, RecordOut, Site, Species } from "../model/types";
import { Known } from "./known";
import { VERSIONS, type Aside, type OldRecord, type StoredPhoto, type StoredTree, type Version } from "./schema";
import type { LocalView } from "./views";

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

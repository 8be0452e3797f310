// This phone's own records, as screens list them.

import type { LocalRecord } from "../model/types";
import { asLocal } from "./became";
import { answered, correctionsOf } from "./outbox";
import type { Tables } from "./tables";

/** What the shed set aside and no later record here takes back, oldest first. */
export function asideOf(db: Tables): PromiseLike<LocalRecord[]> {
  return reading(db, async () => {
    const known = await answered(db);
    if (!known.asides.size) return [];
    const records = (await db.log.bulkGet([...known.asides.keys()])).flatMap((record) => record ?? []);
    return asLocal(records, await correctionsOf(db, records), known).filter((local) => !local.withdrawn);
  });
}

/** Of a tree, newest first. */
export function ofTree(db: Tables, tree: string): PromiseLike<LocalRecord[]> {
  return reading(db, async () => {
    const all = db.log.where("[tree+device_seq]").between([tree, -Infinity], [tree, Infinity]);
    const [records, known] = await Promise.all([all.reverse().toArray(), answered(db)]);
    return asLocal(records, await correctionsOf(db, records), known);
  });
}

/** Of a walk, oldest first. A correction belongs to the walk of what it corrects, so none need be looked for. */
export function ofRun(db: Tables, run: string): PromiseLike<LocalRecord[]> {
  return reading(db, async () => {
    const [records, known] = await Promise.all([db.log.where("run").equals(run).sortBy("device_seq"), answered(db)]);
    return asLocal(records, records, known);
  });
}

function reading(db: Tables, work: () => Promise<LocalRecord[]>): PromiseLike<LocalRecord[]> {
  return db.transaction("r", [db.log, db.aside, db.meta], work);
}

// This phone's own records, as screens list them.

import type { LocalRecord } from "../model/types";
import { asLocal } from "./outbox";
import type { Tables } from "./schema";

/** What the shed set aside and no later record here takes back, oldest first. */
export function asideOf(db: Tables): PromiseLike<LocalRecord[]> {
  return reading(db, async () => {
    const records = await db.log.bulkGet(await db.aside.toCollection().primaryKeys());
    return (await asLocal(db, records.flatMap((record) => record ?? []))).filter((local) => !local.withdrawn);
  });
}

/** Of a tree, newest first. */
export function ofTree(db: Tables, tree: string): PromiseLike<LocalRecord[]> {
  return reading(db, async () => {
    const all = db.log.where("[tree+device_seq]").between([tree, -Infinity], [tree, Infinity]);
    return asLocal(db, await all.reverse().toArray());
  });
}

/** Of a walk, oldest first. A correction belongs to the walk of what it corrects, so none need be looked for. */
export function ofRun(db: Tables, run: string): PromiseLike<LocalRecord[]> {
  return reading(db, async () => {
    const records = await db.log.where("run").equals(run).sortBy("device_seq");
    return asLocal(db, records, records);
  });
}

function reading(db: Tables, work: () => Promise<LocalRecord[]>): PromiseLike<LocalRecord[]> {
  return db.transaction("r", [db.log, db.aside, db.meta], work);
}

// What waits for the shed, what it acknowledged, and how long that is kept.
//
// A record's own row is never written again: a browser takes longer to write each anew than the shed to take it
// in. What became of it is told by its number: one row has the ranges that the shed has, and the few that it set
// aside have a row each.

import type { Sentence } from "../model/sentences";
import type { Fate, RecordOut } from "../model/types";
import { acked, setAcked } from "./acked";
import type { Answered } from "./became";
import { refold } from "./local";
import { gaps, holding, losing, taking, type Range } from "./ranges";
import { getMeta, setMeta } from "./meta";
import type { Aside } from "./schema";
import type { Tables } from "./tables";

/** Acknowledged records are kept so long, to offer them again to a shed restored from a backup. [ms] */
export const KEPT = 30 * 24 * 3600_000;

export interface Result {
  id: string;
  outcome: "stored" | "duplicate" | "set_aside";
  /** Where it was set aside: why. */
  reason?: string;
  field?: string;
  message?: Sentence;
  mend?: Sentence;
}

/** The oldest waiting records, at most `count`, after record number `after`. */
export function oldest(db: Tables, count: number, after = 0): PromiseLike<RecordOut[]> {
  return db.transaction("r", [db.log, db.meta], async () => {
    const found: RecordOut[] = [];
    for (const [from, to] of gaps(await acked(db))) {
      if (to <= after || found.length >= count) continue;
      const range = db.log.where(":id").between(Math.max(from, after + 1), to, true, true);
      found.push(...(await (count === Infinity ? range : range.limit(count - found.length)).toArray()));
    }
    return found;
  });
}

/** All that waits, oldest first. Those too that a full phone could not take over yet: a file must leave out none. */
export function allWaiting(db: Tables): PromiseLike<RecordOut[]> {
  return db.transaction("r", [db.log, db.meta, db.records], async () => {
    const [now, old] = await Promise.all([oldest(db, Infinity), db.records.where({ state: "waiting" }).sortBy("seq")]);
    return [...old.map((row) => row.record), ...now];
  });
}

export function waitingCount(db: Tables): PromiseLike<number> {
  return db.transaction("r", [db.log, db.meta, db.records], async () => {
    // Those too that a full phone could not take over yet. Side by side: each wait is felt when the app is opened.
    const [ranges, old] = await Promise.all([acked(db), db.records.where({ state: "waiting" }).count()]);
    const counts = gaps(ranges).map(([from, to]) => db.log.where(":id").between(from, to, true, true).count());
    return (await Promise.all(counts)).reduce((sum, count) => sum + count, old);
  });
}

/**
 * The shed of this epoch has these for good: they leave the outbox, and only these. `sent`: the records that it
 * answered about, where they are at hand. Gives how many waited until now.
 */
export function acknowledge(
  db: Tables, results: readonly Result[], at: number, epoch?: string, sent?: readonly RecordOut[],
): PromiseLike<number> {
  const aside = results.some((result) => result.outcome !== "stored");
  // What is everyday touches no table of records, so that the next ones can be read meanwhile.
  const tables = sent && !aside ? [db.meta] : [db.meta, db.log, db.local, db.aside, db.fates];
  return db.transaction("rw", tables, async () => {
    if (epoch) await noteEpoch(db, epoch);
    const seqs = await numbers(db, results.map((result) => result.id), sent);
    const ranges = await acked(db);
    // Of two answers about one record the first holds.
    const fresh = new Map<number, Result>();
    for (const result of results) {
      const seq = seqs.get(result.id);
      if (seq !== undefined && !fresh.has(seq) && !holding(ranges, seq)) fresh.set(seq, result);
    }
    if (!fresh.size) return 0;
    await setAcked(db, taking(ranges, fresh.keys(), Number.isFinite(at) ? Math.max(1, at) : Date.now()));
    if (aside) await putAside(db, fresh);
    return fresh.size;
  });
}

async function numbers(db: Tables, ids: string[], sent?: readonly RecordOut[]): Promise<Map<string, number>> {
  const records = sent ?? (await db.log.where("id").anyOf(ids).toArray());
  return new Map(records.map((record) => [record.id, record.device_seq]));
}

/** A replay is answered "duplicate": whether the record was set aside the first time, its fate row tells. */
async function putAside(db: Tables, fresh: ReadonlyMap<number, Result>): Promise<void> {
  const fates = await db.fates.bulkGet([...fresh.values()].map((result) => result.id));
  const asides = [...fresh].flatMap(([seq, { outcome, reason = "", field = "", message = "", mend = "" }], i): Aside[] => {
    const fate = fates[i];
    if (outcome === "set_aside") return [{ seq, reason, field, message, mend }];
    return fate?.fate === "set_aside" ? [fromFate(seq, fate)] : [];
  });
  await db.aside.bulkPut(asides);
  await refoldOf(db, asides.map((aside) => aside.seq));
}

export function fromFate(seq: number, { reason, message, mend }: Fate): Aside {
  return { seq, reason, field: "", message, mend };
}

/** Make anew the local views of the trees that these records are about. */
export async function refoldOf(db: Tables, seqs: readonly number[]): Promise<void> {
  if (!seqs.length) return;
  await refold(db, (await db.log.bulkGet([...seqs])).flatMap((record) => record?.tree ?? []));
}

/**
 * Inside a transaction, with an answer of the shed: where records were acknowledged in another epoch, the
 * shed has been restored since and may lack them. The mirror's cursor cannot tell, where none was fetched yet.
 */
export async function noteEpoch(db: Tables, epoch: string, first = true): Promise<void> {
  const known = await getMeta<string>(db, "acked_epoch");
  if (known === epoch || (known === undefined && !first)) return;
  if (known !== undefined) await setOfferDue(db, true);
  await setMeta(db, "acked_epoch", epoch);
}

/** Ids of records that the shed once acknowledged and this phone still holds, oldest first. */
export function held(db: Tables): PromiseLike<string[]> {
  return db.transaction("r", [db.log, db.meta], async () => {
    const ranges = await acked(db);
    const records = await db.log.toArray();
    return records.filter((record) => holding(ranges, record.device_seq)).map((record) => record.id);
  });
}

/** The shed has lost these: they wait again, as they were. */
export function offerAgain(db: Tables, ids: readonly string[]): PromiseLike<void> {
  return db.transaction("rw", [db.log, db.local, db.aside, db.meta], async () => {
    const records = await db.log.where("id").anyOf([...ids]).toArray();
    if (!records.length) return;
    const seqs = records.map((record) => record.device_seq);
    await setAcked(db, losing(await acked(db), seqs));
    await db.aside.bulkDelete(seqs);
    await refold(db, records.flatMap((record) => record.tree ?? []));
  });
}

/**
 * Let go of records acknowledged more than 30 days before `now`, server time [ms]: a phone's own clock that
 * jumps must not empty it. Records that wait, are set aside or not yet in the mirror stay. Gives how many went.
 */
export async function letGo(db: Tables, now: number): Promise<number> {
  const old = (range: Range) => range.seen === 1 && range.at > 0 && range.at < now - KEPT;
  // Asked first: each round comes here, and a write waits for the disk.
  if (!(await acked(db)).some(old)) return 0;
  return db.transaction("rw", [db.log, db.aside, db.meta], async () => {
    const ranges = await acked(db);
    const asides = await db.aside.toCollection().primaryKeys();
    const gone = losing(ranges.filter(old), asides);
    const counts = await Promise.all(
      gone.map(({ from, to }) => db.log.where(":id").between(from, to, true, true).delete()),
    );
    // What was let go is remembered as numbers only; one that is set aside stands alone, with its own time.
    const kept = ranges.filter(old).flatMap((range) => {
      return asides.filter((seq) => holding([range], seq)).map((seq) => ({ ...range, from: seq, to: seq }));
    });
    await setAcked(db, [...ranges.filter((range) => !old(range)), ...gone.map((range) => ({ ...range, at: 0 })), ...kept]);
    return counts.reduce((sum, count) => sum + count, 0);
  });
}

export async function answered(db: Tables): Promise<Answered> {
  const [ranges, asides] = await Promise.all([acked(db), db.aside.toArray()]);
  return { ranges, asides: new Map(asides.map((aside) => [aside.seq, aside])) };
}

/** The corrections of these records. */
export function correctionsOf(db: Tables, records: readonly RecordOut[]): PromiseLike<RecordOut[]> {
  return db.log.where("body.replaces").anyOf(records.map((record) => record.id)).toArray();
}

/** The offer after a restore outlives a kill: it is due until it is done. */
export async function offerDue(db: Tables): Promise<boolean> {
  return (await getMeta<boolean>(db, "offer_due")) ?? false;
}

export function setOfferDue(db: Tables, due: boolean): PromiseLike<void> {
  return setMeta(db, "offer_due", due || undefined);
}

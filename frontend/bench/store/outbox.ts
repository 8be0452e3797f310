// What waits for the shed, what it acknowledged, and how long that is kept.

import type { Fate, LocalRecord, RecordOut } from "../model/types";
import { refold } from "./local";
import { getMeta, setMeta, type StoredRecord, type Tables } from "./schema";

/** Acknowledged records are kept so long, to offer them again to a shed restored from a backup. [ms] */
export const KEPT = 30 * 24 * 3600_000;

export interface Result {
  id: string;
  outcome: "stored" | "duplicate" | "set_aside";
  reason: string;
  field: string;
  message: string;
  mend: string;
}

/** The oldest waiting records, at most `count`, after record number `after`. */
export async function oldest(db: Tables, count: number, after = 0): Promise<RecordOut[]> {
  const rows = await db.records
    .where("[state+seq]")
    .between(["waiting", after], ["waiting", Infinity], false)
    .limit(count)
    .toArray();
  return rows.map((row) => row.record);
}

export function waitingCount(db: Tables): PromiseLike<number> {
  return db.records.where("[state+seq]").between(["waiting", -Infinity], ["waiting", Infinity]).count();
}

const NOTHING = { reason: "", field: "", message: "", mend: "" };

/** An answer of the shed in one row: its results, and when it came [ms, server time]. */
interface Note { results: readonly Result[]; at: number }
const NOTE = "acked:";

/**
 * The shed of this epoch has these for good: they leave the outbox, and only these. Noted in one row, because
 * a browser takes longer to write each record anew than the shed to take it in; `settleNotes` does that once
 * for a whole handing over.
 */
export function note(db: Tables, results: readonly Result[], at: number, epoch?: string): PromiseLike<void> {
  return db.transaction("rw", [db.meta], async () => {
    if (epoch) await noteEpoch(db, epoch);
    // Keys in the order of the answers: of two about one record the first holds.
    const place = String(await noted(db).count()).padStart(8, "0");
    if (results.length) await setMeta(db, NOTE + place, { results, at } satisfies Note);
  });
}

function noted(db: Tables) {
  return db.meta.where("key").startsWith(NOTE);
}

/** Records that wait by their own rows, and are acknowledged by a note. */
export async function notedCount(db: Tables): Promise<number> {
  const results = (await noted(db).toArray()).flatMap(({ value }) => (value as Note).results);
  return new Set(results.map((result) => result.id)).size;
}

/** Write what is noted into the records' own rows. */
export function settleNotes(db: Tables): PromiseLike<void> {
  return db.transaction("rw", [db.records, db.local, db.fates, db.meta], async () => {
    const settled = await layNotes(db);
    await refold(db, settled.flatMap((row) => (row.state === "set_aside" && row.tree ? row.tree : [])));
  });
}

/**
 * Inside a transaction: the same. `seen`: the mirror holds all that they say, and is newer than they are.
 * Gives the rows written.
 */
export async function layNotes(db: Tables, seen = false): Promise<StoredRecord[]> {
  const written: StoredRecord[] = [];
  for (const { key, value } of await noted(db).toArray()) {
    const { results, at } = value as Note;
    const ids = results.map((result) => result.id);
    const rows = await db.records.bulkGet(ids);
    const fates = await db.fates.bulkGet(ids);
    const settled: StoredRecord[] = [];
    rows.forEach((row, i) => {
      // A record already acknowledged by an earlier answer keeps what that one said.
      if (row?.state !== "waiting") return;
      const told = seen && fates[i] ? fromFate(fates[i]) : verdict(results[i]!, fates[i]);
      settled.push({ ...row, ackedAt: at, ...told, ...(seen ? { unseen: 0 as const } : {}) });
    });
    if (settled.length) await db.records.bulkPut(settled);
    await db.meta.delete(key);
    written.push(...settled);
  }
  return written;
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

/** A replay is answered "duplicate": whether the record was set aside the first time, its fate row tells. */
function verdict(result: Result, fate: Fate | undefined): Partial<StoredRecord> {
  if (result.outcome === "set_aside") {
    const { reason, field, message, mend } = result;
    return { state: "set_aside", unseen: 0, reason, field, message, mend };
  }
  if (fate?.fate === "set_aside") return fromFate(fate);
  return { state: "acknowledged", ...NOTHING };
}

export function fromFate(fate: Fate): Partial<StoredRecord> {
  const { reason, message, mend } = fate;
  if (fate.fate === "set_aside") return { state: "set_aside", unseen: 0, reason, field: "", message, mend };
  return { state: "acknowledged", unseen: 0, ...NOTHING };
}

/** Ids of records that the shed once acknowledged and this phone still holds, oldest first. */
export async function held(db: Tables): Promise<string[]> {
  const rows = await db.records.where("state").anyOf("acknowledged", "set_aside").sortBy("seq");
  return rows.map((row) => row.id);
}

/** The shed has lost these: they wait again, as they were. */
export function offerAgain(db: Tables, ids: readonly string[]): PromiseLike<void> {
  return db.transaction("rw", [db.records, db.local], async () => {
    const rows = (await db.records.bulkGet([...ids])).filter((row) => row !== undefined);
    const again = rows.map(({ ackedAt: _ackedAt, ...row }): StoredRecord => {
      return { ...row, state: "waiting", unseen: 1, ...NOTHING };
    });
    if (!again.length) return;
    await db.records.bulkPut(again);
    await refold(db, again.flatMap((row) => row.tree ?? []));
  });
}

/**
 * Let go of records acknowledged more than 30 days before `now`, server time [ms]: a phone's own clock that
 * jumps must not empty it. Records that wait or are set aside stay.
 */
export function letGo(db: Tables, now: number): PromiseLike<number> {
  return db.records
    .where("ackedAt")
    .below(now - KEPT)
    .filter((row) => row.state === "acknowledged" && row.unseen === 0)
    .delete();
}

export async function asLocal(db: Tables, rows: readonly StoredRecord[]): Promise<LocalRecord[]> {
  const all = await db.records.where("target").anyOf(rows.map((row) => row.id)).toArray();
  const corrections = all.filter((row) => row.state !== "set_aside");
  corrections.sort((a, b) => (a.hlc < b.hlc ? -1 : 1));
  const last = new Map(corrections.map((row) => [row.target, row.record.body]));
  return rows.map(({ id, record, state, reason, field, message, mend }) => {
    const body = last.get(id);
    return { record, state, withdrawn: body !== undefined && "withdraw" in body, reason, field, message, mend };
  });
}

/** The offer after a restore outlives a kill: it is due until it is done. */
export async function offerDue(db: Tables): Promise<boolean> {
  return (await getMeta<boolean>(db, "offer_due")) ?? false;
}

export function setOfferDue(db: Tables, due: boolean): PromiseLike<void> {
  return setMeta(db, "offer_due", due || undefined);
}

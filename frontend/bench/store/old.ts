// From the first layout to this one. A few at a time, each lot whole: killed half way, it goes on at the next opening.

import { acked, setAcked } from "./acked";
import { acknowledge, type Result } from "./outbox";
import { taking, type Range } from "./ranges";
import { getMeta, setMeta } from "./meta";
import type { OldRecord } from "./schema";
import type { Tables } from "./tables";

const AT_ONCE = 1000;
/** The first layout's answers that were not yet written into the records' own rows. */
const NOTE = "acked:";
interface Note { results: readonly Result[]; at: number }

/** Take over all records that stand in the first layout. Gives how many. */
export async function takeOver(db: Tables): Promise<number> {
  let taken = 0;
  // Asked side by side: each wait is felt when the app is opened, and mostly there is nothing to take over.
  const asked = () => Promise.all([db.records.count(), db.meta.where("key").startsWith(NOTE).toArray()]);
  let [some, notes] = await asked();
  while (some) {
    const moved = await move(db);
    taken += moved;
    [some, notes] = await asked();
    if (!moved) break;
  }
  for (const { key, value } of notes) {
    const { results, at } = value as Note;
    await acknowledge(db, results, at);
    await db.meta.delete(key);
  }
  return taken;
}

function move(db: Tables): PromiseLike<number> {
  return db.transaction("rw", [db.records, db.log, db.aside, db.meta], async () => {
    const old = await db.records.limit(AT_ONCE).toArray();
    const rows = await numbered(db, old);
    await db.log.bulkPut(rows.map((row) => row.record));
    await setAcked(db, rows.reduce(withOne, await acked(db)));
    const aside = rows.filter((row) => row.state === "set_aside");
    await db.aside.bulkPut(aside.map(({ seq, reason, field, message, mend }) => ({ seq, reason, field, message, mend })));
    await db.records.bulkDelete(old.map((row) => row.id));
    return rows.length;
  });
}

function withOne(ranges: Range[], { state, seq, unseen, ackedAt = Date.now() }: OldRecord): Range[] {
  return state === "waiting" ? ranges : taking(ranges, [seq], Math.max(1, ackedAt), unseen === 1 ? 0 : 1);
}

/** A number that another record has (no app should have given it twice) is changed: the shed goes by the id alone. */
async function numbered(db: Tables, rows: readonly OldRecord[]): Promise<OldRecord[]> {
  const there = await db.log.bulkGet(rows.map((row) => row.seq));
  const first = (await getMeta<number>(db, "seq")) ?? 0;
  let last = first;
  const made = rows.map((row, i): OldRecord => {
    if (!there[i] || there[i].id === row.id) return row;
    last += 1;
    return { ...row, seq: last, record: { ...row.record, device_seq: last } };
  });
  if (last > first) await setMeta(db, "seq", last);
  return made;
}

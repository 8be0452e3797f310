// The short way of a tap to the disk. `capture` asks, waits, and then writes; here the questions and the writing go to
// the browser together. What the disk will answer is guessed from what this tab saw last, and the answers are compared
// inside the same transaction: after a wrong guess (another tab, a fetch) nothing was written, and `capture` follows.

import type { Clock } from "../model/hlc";
import type { RecordOut, WalkState } from "../model/types";
import { number, type Named } from "./capture";
import { laidOver } from "./local";
import type { Counters } from "./known";
import type { Tables } from "./tables";
import type { LocalView } from "./views";

interface Guess { tree: string | undefined; counters: Counters; view: LocalView | undefined }

/**
 * Write the drafts, as `capture` does, where all are about one tree and need no older record; undefined where they do,
 * or where the disk is not as it was guessed or does not take them: nothing was written then.
 */
export async function quickly(
  db: Tables, drafts: readonly Named[], walk?: WalkState,
): Promise<RecordOut[] | undefined> {
  const trees = new Set(drafts.flatMap(({ tree }) => tree ?? []));
  const { counters } = db.known;
  if (!counters || !drafts.length || trees.size > 1 || drafts.some(({ file }) => file) || !db.isOpen()) return undefined;
  const [tree] = trees;
  const guess: Guess = { tree, counters, view: tree === undefined ? undefined : db.known.view(tree) };
  const { records, clock, seq } = number(drafts, counters, counters.offset);
  const laid = tree === undefined ? { view: undefined } : laidOver(guess.view, tree, records.filter((one) => one.tree));
  if (!laid) return undefined;
  const small = { clock, seq, ...(walk ? { walk } : {}) };
  if (!(await written(db, guess, { records, small, view: laid.view }))) return undefined;
  if (laid.view) db.known.views([laid.view]);
  // Where another tab was heard meanwhile, or the shed's clock learned, that is newer.
  if (db.known.counters === counters) db.known.counters = { clock, seq, offset: counters.offset };
  return records;
}

interface Written { records: readonly RecordOut[]; small: Readonly<Record<string, unknown>>; view: LocalView | undefined }

/** True once all of it is on the disk; false where none of it is. */
async function written(db: Tables, guess: Guess, { records, small, view }: Written): Promise<boolean> {
  let transaction: IDBTransaction;
  try {
    transaction = db.backendDB().transaction(["log", "local", "meta"], "readwrite", { durability: "strict" });
  } catch {
    // The browser has closed the connection: `capture` opens it again.
    return false;
  }
  const done = new Promise<boolean>((settle) => {
    transaction.oncomplete = () => settle(true);
    transaction.onabort = () => settle(false);
  });
  try {
    check(transaction, guess);
    const [log, meta] = [transaction.objectStore("log"), transaction.objectStore("meta")];
    for (const record of records) log.add(record);
    for (const [key, value] of Object.entries(small)) meta.put({ key, value });
    if (view) transaction.objectStore("local").put(view);
  } catch {
    // All or none: what was asked for until then would be written.
    takeBack(transaction);
  }
  return done;
}

function takeBack(transaction: IDBTransaction): void {
  try {
    transaction.abort();
  } catch {
    // The browser did so itself.
  }
}

/** Know what numbers the next record before the first tap; a phone that never recorded has nothing to know. */
export async function learnCounters(db: Tables): Promise<void> {
  const { counters, doubts } = db.known;
  if (counters) return;
  const [clock, seq, offset] = await db.meta.bulkGet(["clock", "seq", "offset"]);
  if (!clock || !seq || db.known.counters || db.known.doubts !== doubts) return;
  db.known.counters = { clock: clock.value as Clock, seq: seq.value as number, offset: (offset?.value as number | undefined) ?? 0 };
}

/** Ask what was guessed, and take all back where it is otherwise: the answers come before the last write is done. */
function check(transaction: IDBTransaction, { tree, counters, view }: Guess): void {
  // The clock is written with the number, always.
  const seq = transaction.objectStore("meta").get("seq");
  seq.onsuccess = () => {
    if ((seq.result as { value: number } | undefined)?.value !== counters.seq) takeBack(transaction);
  };
  if (tree === undefined) return;
  const own = transaction.objectStore("local").get(tree);
  own.onsuccess = () => {
    // Both were written in the same order of fields.
    if (JSON.stringify(own.result) !== JSON.stringify(view)) takeBack(transaction);
  };
}

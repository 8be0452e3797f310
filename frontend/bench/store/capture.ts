// From a tap to a record on the disk.

import { stamp, tick, type Clock } from "../model/hlc";
import type { Draft, RecordOut, WalkState } from "../model/types";
import { uuidv7 } from "../model/uuid";
import { StoreError } from "./errors";
import { refold } from "./local";
import type { StoredRecord, Tables } from "./schema";

export type Named = Draft & { id: string };

/** Give each draft its id now, so that a second try of the same capture is known for what it is. */
export function named(drafts: readonly Draft[]): Named[] {
  return drafts.map((draft) => ({ ...draft, id: draft.id ?? uuidv7(Date.now()) }));
}

/** Write all drafts in one transaction; a draft that is there already (a first try that did land) is not doubled. */
export function capture(db: Tables, drafts: readonly Named[], walk?: WalkState): PromiseLike<RecordOut[]> {
  return db.transaction("rw", [db.records, db.local, db.meta], async () => {
    // Asked and written side by side: each wait for an answer is felt under the thumb.
    const [there, [clock, seq, offset]] = await Promise.all([
      db.records.bulkGet(drafts.map((draft) => draft.id)),
      db.meta.bulkGet(["clock", "seq", "offset"]),
    ]);
    if (drafts.length && there.every((row) => row !== undefined)) return there.map((row) => row!.record);
    const last = { clock: clock?.value as Clock | undefined, seq: seq?.value as number | undefined };
    const made = number(drafts, last, (offset?.value as number | undefined) ?? 0);
    const counters = [{ key: "clock", value: made.clock }, { key: "seq", value: made.seq }];
    await Promise.all([
      db.records.bulkAdd(made.records.map(stored)),
      db.meta.bulkPut(walk ? [...counters, { key: "walk", value: walk }] : counters),
    ]);
    await refold(db, made.records.flatMap((record) => record.tree ?? []));
    return made.records;
  });
}

/** Stamp and number the drafts; the counters go into the same transaction, so numbers have no gaps. */
function number(
  drafts: readonly Named[],
  last: { clock: Clock | undefined; seq: number | undefined },
  offset: number,
): { records: RecordOut[]; clock: Clock; seq: number } {
  let { clock = { ms: 0, count: 0 }, seq = 0 } = last;
  const now = Date.now();
  const wall = new Date(now);
  const records = drafts.map((draft): RecordOut => {
    clock = tick(clock, Math.round(now + offset));
    seq += 1;
    return {
      id: draft.id,
      device_seq: seq,
      kind: draft.kind,
      v: 1,
      tree: draft.tree ?? null,
      run: draft.run ?? null,
      observed_at: wall.toISOString(),
      utc_offset_min: -wall.getTimezoneOffset() || 0,
      hlc: stamp(clock),
      body: draft.body,
    };
  });
  return { records, clock, seq };
}

function stored(record: RecordOut): StoredRecord {
  const row: StoredRecord = {
    id: record.id,
    seq: record.device_seq,
    hlc: record.hlc,
    state: "waiting",
    unseen: 1,
    record,
    reason: "",
    field: "",
    message: "",
    mend: "",
  };
  if (record.tree) row.tree = record.tree;
  if (record.run) row.run = record.run;
  if (record.kind === "correction") row.target = (record.body as { replaces: string }).replaces;
  return row;
}

/** The draft of a correction of one of this phone's own records; a correction is corrected at its root. */
export async function correction(db: Tables, id: string, body: Record<string, unknown> | null): Promise<Draft> {
  const row = await db.records.get(id);
  if (!row) {
    throw new StoreError("missing", "This record is no longer on the phone.", "Correct it at the shed, on the tree's page.");
  }
  const root = row.target ? ((await db.records.get(row.target)) ?? row) : row;
  const replaces = row.target ?? row.id;
  return {
    kind: "correction",
    tree: root.record.tree,
    run: root.record.run,
    body: body ? { replaces, body } : { replaces, withdraw: true },
  };
}

// From a tap to a record on the disk.

import { stamp, tick, type Clock } from "../model/hlc";
import type { Draft, RecordOut, WalkState } from "../model/types";
import { uuidv7 } from "../model/uuid";
import { t } from "../words";
import { StoreError } from "./errors";
import { ground, layOn, refold } from "./local";
import { putPhotos } from "./photos";
import type { Range } from "./ranges";
import type { Tables } from "./tables";

export type Named = Draft & { id: string };

/** Give each draft its id now, so that a second try of the same capture is known for what it is. */
export function named(drafts: readonly Draft[]): Named[] {
  return drafts.map((draft) => ({ ...draft, id: draft.id ?? uuidv7(Date.now()) }));
}

/** Write all drafts in one transaction; drafts that are there already (a first try that did land) are not doubled. */
export function capture(db: Tables, drafts: readonly Named[], walk?: WalkState): PromiseLike<RecordOut[]> {
  const files = new Map(drafts.flatMap((draft) => (draft.file ? [[draft.id, draft.file]] : [])));
  const pictures = files.size ? [db.photos, db.photoData] : [];
  return db.transaction("rw", [db.log, db.local, db.aside, db.meta, ...pictures], async () => {
    // All that is asked is asked at once, and all that is written: each wait for an answer is felt under the thumb.
    const [landed, small, under] = await Promise.all([
      drafts[0] && db.log.get({ id: drafts[0].id }),
      db.meta.toArray(),
      ground(db, drafts.map(({ kind, tree = null }) => ({ kind, tree }))),
    ]);
    // They are written all or none.
    if (landed) return whole(db, drafts);
    const known = new Map(small.map(({ key, value }) => [key, value]));
    const last = { clock: known.get("clock") as Clock | undefined, seq: known.get("seq") as number | undefined };
    const offset = (known.get("offset") as number | undefined) ?? 0;
    const made = number(drafts, last, offset);
    db.known.counters = { clock: made.clock, seq: made.seq, offset };
    const counters = [{ key: "clock", value: made.clock }, { key: "seq", value: made.seq }];
    const ranges = (known.get("acked") as Range[] | undefined) ?? [];
    await Promise.all([
      db.log.bulkAdd(made.records),
      db.meta.bulkPut(walk ? [...counters, { key: "walk", value: walk }] : counters),
      layOn(db, made.records, under, ranges),
    ]);
    if (!under.own.size) {
      const corrections = made.records.filter((record) => record.kind === "correction");
      await refold(db, corrections.flatMap((record) => record.tree ?? []), ranges);
    }
    if (files.size) await putPhotos(db, made.records, files);
    return made.records;
  });
}

/** The records of drafts that landed. An id that was used for something else is refused, as a doubled one is. */
async function whole(db: Tables, drafts: readonly Named[]): Promise<RecordOut[]> {
  const there = await Promise.all(drafts.map((draft) => db.log.get({ id: draft.id })));
  return there.map((record, i) => {
    if (!record) throw new Error(`The id of draft ${i} is used already.`);
    return record;
  });
}

/** Stamp and number the drafts; the counters go into the same transaction, so numbers have no gaps. */
export function number(
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

/** The draft of a correction of one of this phone's own records; a correction is corrected at its root. */
export async function correction(db: Tables, id: string, body: Record<string, unknown> | null): Promise<Draft> {
  const record = await db.log.get({ id });
  if (!record) {
    throw new StoreError("missing", t("This record is no longer on the phone."), t("Correct it at the shed, on the tree's page."));
  }
  const replaces = rootOf(record);
  const root = replaces === id ? record : ((await db.log.get({ id: replaces })) ?? record);
  return {
    kind: "correction",
    tree: root.tree,
    run: root.run,
    body: body ? { replaces, body } : { replaces, withdraw: true },
  };
}

function rootOf(record: RecordOut): string {
  return record.kind === "correction" ? (record.body as { replaces: string }).replaces : record.id;
}

// Handing over: oldest first, in batches, each record let go only by its own acknowledgement.

import type { RecordOut } from "../model/types";
import type { MishoStore } from "../store";
import { Fault, type Wire } from "./wire";

/** The most that one push may carry. */
export const MOST_RECORDS = 500;
export const MOST_BYTES = 512 * 1024;

export interface Pushed {
  pushed: number;
  setAside: number;
  /** Records that even alone did not get through, and why the last of them did not. */
  stuck: number;
  why: Fault | null;
}

/** Statuses that blame the batch: try with less, and in the end pass over the one at fault. */
const BLAMES_BATCH = new Set([400, 413]);

export async function pushAll(
  store: MishoStore,
  wire: Wire,
  progress: (done: number, total: number) => void,
): Promise<Pushed> {
  const tally: Pushed = { pushed: 0, setAside: 0, stuck: 0, why: null };
  await store.settleAcknowledged();
  const total = store.waiting.value;
  let size = MOST_RECORDS;
  let after = -Infinity;
  for (;;) {
    const batch = fitting(await store.oldest(size, after));
    const last = batch.at(-1);
    if (!last) return tally;
    progress(tally.pushed, Math.max(total, tally.pushed));
    try {
      await handOver(store, wire, batch, tally);
      after = last.device_seq;
      size = Math.min(MOST_RECORDS, size * 2);
    } catch (error) {
      if (!(error instanceof Fault) || !BLAMES_BATCH.has(error.status)) throw error;
      if (batch.length > 1) {
        size = Math.ceil(batch.length / 2);
      } else {
        // It goes on waiting, here; but it must not hold up those behind it.
        tally.stuck += 1;
        tally.why = error;
        after = last.device_seq;
      }
    }
  }
}

async function handOver(store: MishoStore, wire: Wire, batch: readonly RecordOut[], tally: Pushed): Promise<void> {
  const answer = await wire.push(batch);
  const sent = new Set(batch.map((record) => record.id));
  const results = answer.results.filter((result) => sent.has(result.id));
  if (!results.length) throw new Fault("no_word", "The shed did not say what became of the records.", "The app tries again.");
  await store.acknowledge(results, Date.parse(answer.server_time), answer.epoch);
  tally.pushed += results.length;
  tally.setAside += results.filter((result) => result.outcome === "set_aside").length;
}

/** As many from the front as go into one push; always at least one. */
export function fitting(records: readonly RecordOut[], most = MOST_BYTES): RecordOut[] {
  const encoder = new TextEncoder();
  let bytes = '{"records":[]}'.length;
  const batch: RecordOut[] = [];
  for (const record of records) {
    bytes += encoder.encode(JSON.stringify(record)).length + 1;
    if (batch.length && bytes > most) break;
    batch.push(record);
  }
  return batch;
}

// Handing over: oldest first, in batches, each record let go only by its own acknowledgement.

import type { RecordOut } from "../model/types";
import type { MishoStore } from "../store";
import { t } from "../words";
import type { Line } from "./line";
import { Fault, pack, type Body, type PushAnswer } from "./wire";

/** The most that one push may carry. */
export const MOST_RECORDS = 1500;
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

interface Batch { records: RecordOut[]; last: number; body: Body }

export async function pushAll(line: Line, progress: (done: number, total: number) => void): Promise<Pushed> {
  await line.store.takeOver();
  return new HandingOver(line, progress).all();
}

/** While the shed is at one batch, the answer to the one before is noted, and the next one read and packed. */
class HandingOver {
  private readonly tally: Pushed = { pushed: 0, setAside: 0, stuck: 0, why: null };
  private noting: Promise<void> = Promise.resolve();
  private after = -Infinity;

  constructor(
    private readonly line: Line,
    private readonly progress: (done: number, total: number) => void,
  ) {}

  async all(): Promise<Pushed> {
    const total = this.line.store.waiting.value;
    let size = MOST_RECORDS;
    let next = this.read(size, this.after);
    for (;;) {
      const batch = (await next) ?? (await this.late(size));
      if (!batch) return this.tally;
      this.progress(this.tally.pushed, Math.max(total, this.tally.pushed));
      const answer = this.line.wire.push(batch.body);
      size = Math.min(MOST_RECORDS, size * 2);
      next = this.read(size, batch.last);
      try {
        await this.note(batch, await answer);
        this.after = batch.last;
      } catch (error) {
        // What the shed said of the batch before is on the disk before anything is said of this one.
        await this.noting;
        size = this.less(batch, error);
        next = this.read(size, this.after);
      }
    }
  }

  private read(count: number, after: number): Promise<Batch | undefined> {
    const { store, breath } = this.line;
    const reading = breath().then(() => readBatch(store, count, after));
    // It may be given up before anybody asks for it.
    reading.catch(() => undefined);
    return reading;
  }

  /** What was recorded while the last batch was on its way. */
  private async late(count: number): Promise<Batch | undefined> {
    await this.noting;
    return this.read(count, this.after);
  }

  private async note({ records }: Batch, answer: PushAnswer): Promise<void> {
    const sent = new Set(records.map((record) => record.id));
    const results = answer.results.filter((result) => sent.has(result.id));
    if (!results.length) {
      throw new Fault("no_word", t("The shed did not say what became of the records."), t("The app tries again."));
    }
    await this.noting;
    const { store, breath } = this.line;
    this.noting = breath().then(() => store.acknowledge(results, Date.parse(answer.server_time), answer.epoch, records));
    this.noting.catch(() => undefined);
    this.tally.pushed += results.length;
    this.tally.setAside += results.filter((result) => result.outcome === "set_aside").length;
  }

  /** How many to try with after a fault that blames the batch; others end the round. */
  private less({ records, last }: Batch, error: unknown): number {
    if (!(error instanceof Fault) || !BLAMES_BATCH.has(error.status)) throw error;
    if (records.length > 1) return Math.ceil(records.length / 2);
    // It goes on waiting, here; but it must not hold up those behind it.
    this.tally.stuck += 1;
    this.tally.why = error;
    this.after = last;
    return 1;
  }
}

async function readBatch(store: MishoStore, count: number, after: number): Promise<Batch | undefined> {
  const { records, text } = fitting(await store.oldest(count, after));
  const last = records.at(-1);
  return last && { records, last: last.device_seq, body: await pack(text) };
}

/** As many from the front as go into one push, and its body; always at least one. */
export function fitting(found: readonly RecordOut[], most = MOST_BYTES): { records: RecordOut[]; text: string } {
  const encoder = new TextEncoder();
  let bytes = '{"records":[]}'.length;
  const texts: string[] = [];
  for (const record of found) {
    const text = JSON.stringify(record);
    bytes += encoder.encode(text).length + 1;
    if (texts.length && bytes > most) break;
    texts.push(text);
  }
  return { records: found.slice(0, texts.length), text: `{"records":[${texts.join(",")}]}` };
}

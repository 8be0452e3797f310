// This phone's records as screens show them, with what became of each.

import type { LocalRecord, RecordOut } from "../model/types";
import { holding, type Range } from "./ranges";
import type { Aside } from "./schema";

/** What became of this phone's records, by their numbers. */
export interface Answered { ranges: readonly Range[]; asides: ReadonlyMap<number, Aside> }

/** `among`: where the corrections of these records are. */
export function asLocal(
  records: readonly RecordOut[], among: readonly RecordOut[], { ranges, asides }: Answered,
): LocalRecord[] {
  const last = lastGood(among, asides);
  return records.map((record): LocalRecord => {
    const aside = asides.get(record.device_seq);
    const body = last.get(record.id)?.body;
    const { reason, field, message, mend } = aside ?? { reason: "", field: "", message: "", mend: "" };
    const state = aside ? "set_aside" : holding(ranges, record.device_seq) ? "acknowledged" : "waiting";
    return { record, state, withdrawn: body !== undefined && "withdraw" in body, reason, field, message, mend };
  });
}

/** The latest correction of each record, of those that were not set aside. */
function lastGood(found: readonly RecordOut[], asides: Answered["asides"]): Map<string, RecordOut> {
  const good = found.filter((record) => record.kind === "correction" && !asides.has(record.device_seq));
  good.sort((a, b) => (a.hlc < b.hlc ? -1 : 1));
  return new Map(good.map((record) => [(record.body as { replaces: string }).replaces, record]));
}

// What "undo" takes back: the last record, or all records that the same tap made.

import type { LocalRecord } from "../../model/types";
import { inForce } from "./ask";

/** Records of one tap are stamped together; a bulk tap on a slow phone may take a while longer. */
const TOGETHER_MS = 100;
const TOGETHER_BULK_MS = 2000;

/** The records of the last tap of a walk, newest first; those that were taken back no longer count. */
export function lastGroup(records: readonly LocalRecord[]): LocalRecord[] {
  const seen = inForce(records).filter((r) => !["walk_started", "walk_ended"].includes(r.record.kind));
  const last = seen.at(-1);
  if (!last) return [];
  const bulk = isBulk(last);
  const since = Date.parse(last.record.observed_at) - (bulk ? TOGETHER_BULK_MS : TOGETHER_MS);
  const group: LocalRecord[] = [];
  for (const record of seen.reverse()) {
    const same = bulk ? isBulk(record) : record.record.tree === last.record.tree && !isBulk(record);
    if (!same || Date.parse(record.record.observed_at) < since) break;
    group.push(record);
  }
  return group;
}

function isBulk(local: LocalRecord): boolean {
  return "bulk" in local.record.body && local.record.body.bulk === true;
}

// Which of this phone's records the shed has, as ranges of their numbers.

import { joined, type Range } from "./ranges";
import { getMeta, setMeta } from "./meta";
import type { Tables } from "./tables";

/** The numbers of the records that the shed has; those it set aside are among them. */
export async function acked(db: Tables): Promise<Range[]> {
  return (await getMeta<Range[]>(db, "acked")) ?? [];
}

export function setAcked(db: Tables, ranges: readonly Range[]): PromiseLike<void> {
  return setMeta(db, "acked", joined(ranges));
}

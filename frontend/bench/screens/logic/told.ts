// A tree's own records as a person reads them: each once, as it now stands, newest first.

import type { LocalRecord } from "../../model/types";

/** Corrections are laid over what they correct; those taken back stay in sight. `records`: newest first. */
export function told(records: readonly LocalRecord[]): LocalRecord[] {
  const bodies = new Map<string, object>();
  for (const { record } of records) {
    const body = record.body as { replaces?: string; body?: object };
    // Newest first: the first one seen is in force.
    if (record.kind === "correction" && body.replaces && body.body && !bodies.has(body.replaces)) {
      bodies.set(body.replaces, body.body);
    }
  }
  return records
    .filter((r) => r.record.kind !== "correction" || r.state === "set_aside")
    .map((r) => {
      const body = bodies.get(r.record.id);
      return body ? { ...r, record: { ...r.record, body: body as typeof r.record.body } } : r;
    });
}

// The small things: one row each.

import type { Tables } from "./tables";

/** One value of the small things: clock, counter, cursor, walk, the phone's own name. */
export function getMeta<T>(db: Tables, key: string): PromiseLike<T | undefined> {
  return db.meta.get(key).then((row) => row?.value as T | undefined);
}

/** Another one as soon as this phone or the shed has said anything new of a tree. */
export function markOf(small: ReadonlyMap<string, unknown>): string {
  return JSON.stringify(["seq", "acked", "cursor"].map((key) => small.get(key)));
}

export function setMeta(db: Tables, key: string, value: unknown): PromiseLike<void> {
  return value === undefined ? db.meta.delete(key) : db.meta.put({ key, value }).then(() => undefined);
}

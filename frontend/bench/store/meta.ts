// The small things: one row each.

import type { Tables } from "./tables";

/** One value of the small things: clock, counter, cursor, walk, the phone's own name. */
export function getMeta<T>(db: Tables, key: string): PromiseLike<T | undefined> {
  return db.meta.get(key).then((row) => row?.value as T | undefined);
}

export function setMeta(db: Tables, key: string, value: unknown): PromiseLike<void> {
  return value === undefined ? db.meta.delete(key) : db.meta.put({ key, value }).then(() => undefined);
}

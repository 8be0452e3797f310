// Where the walk stands. It is no record: written at each step, and never waited for under the thumb.

import type { WalkState } from "../model/types";
import type { Tables } from "./tables";

/**
 * Done when the browser has it, without waiting for the disk as records do: it outlives the app, and a dead
 * battery costs at most the way from the last record.
 */
export async function keepPlace(db: Tables, walk: WalkState | undefined): Promise<void> {
  if (!db.isOpen()) await db.open();
  const transaction = db.backendDB().transaction("meta", "readwrite", { durability: "relaxed" });
  const meta = transaction.objectStore("meta");
  if (walk) meta.put({ key: "walk", value: walk });
  else meta.delete("walk");
  await new Promise<void>((done, failed) => {
    transaction.oncomplete = () => done();
    transaction.onabort = () => failed(transaction.error ?? new DOMException("aborted", "AbortError"));
  });
}

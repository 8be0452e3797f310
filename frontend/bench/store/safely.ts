// Every use of the database goes through here: lost connections are taken up again, faults become words.

import { StoreError } from "./errors";
import { t } from "../words";
import type { Tables } from "./tables";

const LOST = new Set(["DatabaseClosedError", "InvalidStateError", "TransactionInactiveError"]);

/**
 * Run `work`; where the browser has lost its connection, open again and run it once more.
 * `work` must be one transaction, and harmless when run twice.
 */
export async function safely<T>(db: Tables, work: () => PromiseLike<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (!isLost(error)) throw inWords(error);
  }
  try {
    db.close({ disableAutoOpen: false });
    await db.open();
    return await work();
  } catch (error) {
    throw inWords(error);
  }
}

/** Chain of causes: Dexie wraps what the browser threw. */
function* causes(error: unknown): Generator<{ name: string; message: string }> {
  let at = error as { name?: string; message?: string; inner?: unknown } | null | undefined;
  for (let depth = 0; at && depth < 5; depth++) {
    yield { name: at.name ?? "", message: at.message ?? "" };
    at = at.inner as typeof at;
  }
}

function isLost(error: unknown): boolean {
  for (const { name, message } of causes(error)) {
    if (LOST.has(name) || /connection.*lost|database.*(closing|closed)|connection is closing/i.test(message)) return true;
  }
  return false;
}

/** The fault as a grower can use it. */
export function inWords(error: unknown): StoreError {
  if (error instanceof StoreError) return error;
  for (const { name } of causes(error)) {
    if (name === "QuotaExceededError") {
      return new StoreError(
        "full",
        t("Not saved: this phone has no room left."),
        t("Delete some photos or apps, then record it again. What was saved before is still there."),
        error,
      );
    }
  }
  if (isLost(error)) {
    return new StoreError(
      "lost",
      t("Not saved: the phone closed its storage."),
      t("Close the app, open it again and record it once more."),
      error,
    );
  }
  const detail = error instanceof Error ? error.message : String(error);
  return new StoreError("unknown", t("The phone's storage failed: {detail}", { detail }), t("Close the app and open it again."), error);
}

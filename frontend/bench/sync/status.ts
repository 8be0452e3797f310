// What sync is to screens: its states, and what may be asked of it.

import type { ReadonlySignal } from "@preact/signals";
import type { Me } from "../model/types";

export type SyncStatus =
  | { state: "idle" }
  /** "sending": done of total records; "fetching": rows so far, total 0 (not known); "photos": with parts of one. */
  | { state: "syncing"; stage: "sending" | "fetching" | "photos"; done: number; total: number }
  | { state: "done"; at: number; pushed: number; setAside: number; photos?: number }
  | { state: "failed"; code: string; message: string; mend: string; retryAt: number | null }
  | { state: "needs_pairing"; message: string; mend: string };

/** The last state of the round; "elsewhere": another tab is at it. */
export type SyncOutcome = Exclude<SyncStatus, { state: "idle" } | { state: "syncing" }> | { state: "elsewhere" };

export type PairOutcome = { ok: true; me: Me } | { ok: false; code: string; message: string; mend: string };

export interface Sync {
  /** Trade a one-time code for a session of this phone's own, then sync. */
  pair(code: string, name: string): Promise<PairOutcome>;
  /** One round: hand over, then fetch. Never throws; never loses a record. */
  syncNow(): Promise<SyncOutcome>;
  readonly status: ReadonlySignal<SyncStatus>;
  /** Sync on open, on becoming visible, on coming online, after a record, and by a timer. Gives a stop. */
  start(): () => void;
}

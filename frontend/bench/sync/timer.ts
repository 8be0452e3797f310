// When to sync: on open, when the app comes into sight or the network back, after a record, and by a timer.

import { effect, type Signal } from "@preact/signals";
import type { MishoStore } from "../store";
import type { SyncOutcome, SyncStatus } from "./status";

const SOONEST = 1_000;
const LATEST = 300_000;
/** A record waits so long for others before it is handed over [ms]. */
const GATHER = 4_000;

/** Wait after the n-th failure in a row: 1 s doubled up to 5 min, less up to half by chance. [ms] */
export function backoff(failures: number, chance = Math.random()): number {
  const most = Math.min(LATEST, SOONEST * 2 ** Math.min(failures - 1, 20));
  return Math.max(SOONEST, most * (1 - chance / 2));
}

/** Start; gives a stop. */
export function keepSyncing(
  store: MishoStore,
  status: Signal<SyncStatus>,
  syncNow: () => Promise<SyncOutcome>,
): () => void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let failures = 0;
  let stopped = false;

  function cancel(): void {
    clearTimeout(timer);
    timer = undefined;
  }
  function plan(ms: number): void {
    cancel();
    if (!stopped) timer = setTimeout(() => void go(), ms);
  }
  async function go(): Promise<void> {
    cancel();
    const outcome = await syncNow();
    failures = outcome.state === "failed" ? failures + 1 : 0;
    // Without a pairing only a person can help; coming into sight asks again.
    if (outcome.state === "needs_pairing") return;
    if (outcome.state !== "failed") return plan(LATEST * (1 - Math.random() / 4));
    const wait = Math.max(backoff(failures), (outcome.retryAt ?? 0) - Date.now());
    status.value = { ...outcome, retryAt: Date.now() + wait };
    plan(wait);
  }
  const sight = () => void (document.visibilityState === "visible" && go());
  const online = () => void go();
  let waiting = store.waiting.peek();
  const unwatch = effect(() => {
    const now = store.waiting.value;
    if (now > waiting && status.peek().state === "done") plan(GATHER);
    waiting = now;
  });
  // A round that the grower began (by a button, by pairing) starts the timer too.
  const unfollow = effect(() => {
    if (status.value.state === "done" && timer === undefined) plan(LATEST);
  });
  document.addEventListener("visibilitychange", sight);
  window.addEventListener("online", online);
  void go();
  return () => {
    stopped = true;
    cancel();
    unwatch();
    unfollow();
    document.removeEventListener("visibilitychange", sight);
    window.removeEventListener("online", online);
  };
}

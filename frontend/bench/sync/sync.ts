// One round of sync, and who may run it.

import { signal, type Signal } from "@preact/signals";
import { NO_BREATH, StoreError, type Breath, type MishoStore } from "../store";
import type { PairOutcome, Sync, SyncOutcome, SyncStatus } from "./status";
import { offerHeld, pullAll } from "./pull";
import { sendPhotos } from "./photos";
import type { Line } from "./line";
import { pushAll, type Pushed } from "./push";
import { keepSyncing } from "./timer";
import { t, tn } from "../words";
import { Fault, Wire, type Fetch, type PullAnswer } from "./wire";

const notPaired = () => ({
  state: "needs_pairing" as const,
  message: t("This phone is not paired with the shed."),
  mend: t("Ask at the shed for a code and enter it here. What you record meanwhile is kept."),
});

type Progress = (status: SyncStatus) => void;

/**
 * The sync of a store. `fetch` and `locks` are the browser's unless a test gives others. `breath`: waited for before
 * records are read for it and before anything that it said is written, for a tap must wait until that is done.
 */
export function makeSync(
  store: MishoStore,
  fetch: Fetch = (input, init) => globalThis.fetch(input, init),
  locks: LockManager | undefined = globalThis.navigator?.locks,
  breath: Breath = NO_BREATH,
): Sync {
  const status: Signal<SyncStatus> = signal({ state: "idle" });
  const line: Line = { store, breath, wire: new Wire(fetch, (ms) => void store.learnOffset(ms).catch(() => undefined)) };
  let running: Promise<SyncOutcome> | undefined;

  async function guarded(): Promise<SyncOutcome> {
    const before = status.value;
    const outcome = await alone(locks, () => outcomeOf(line, (now) => (status.value = now)));
    status.value = outcome.state === "elsewhere" ? before : outcome;
    return outcome;
  }
  function syncNow(): Promise<SyncOutcome> {
    running ??= guarded().finally(() => (running = undefined));
    return running;
  }
  return {
    status,
    syncNow,
    pair: async (code, name) => {
      const outcome = await pair(line, code, name);
      // A round that began before the pairing would only say again that there is none.
      if (outcome.ok) void Promise.resolve(running).then(syncNow);
      return outcome;
    },
    start: () => keepSyncing(store, status, syncNow),
  };
}

/** One tab at a time; where the browser has no locks, the caller's own flag must do. */
async function alone(locks: LockManager | undefined, work: () => Promise<SyncOutcome>): Promise<SyncOutcome> {
  if (!locks) return work();
  return locks.request("misho-sync", { ifAvailable: true }, (lock) => {
    return lock ? work() : Promise.resolve<SyncOutcome>({ state: "elsewhere" });
  }) as Promise<SyncOutcome>;
}

async function outcomeOf(line: Line, progress: Progress): Promise<SyncOutcome> {
  try {
    return await round(line, progress);
  } catch (error) {
    return fromError(error);
  } finally {
    // A round that no fetch ended: what it brought until then is to be seen.
    await line.store.refresh().catch(() => undefined);
  }
}

export function fromError(error: unknown): SyncOutcome {
  if (error instanceof Fault && error.status === 401) return notPaired();
  if (error instanceof Fault || error instanceof StoreError) {
    const retryAt = error instanceof Fault && error.waitMs !== null ? Date.now() + error.waitMs : null;
    return { state: "failed", code: error.code, message: error.message, mend: error.mend, retryAt };
  }
  const detail = error instanceof Error ? error.message : String(error);
  return { state: "failed", code: "fault", message: t("The app had a fault: {detail}", { detail }), mend: t("The app tries again."), retryAt: null };
}

async function round(line: Line, progress: Progress): Promise<SyncOutcome> {
  const { store, wire } = line;
  const me = await store.me();
  if (!me) return notPaired();
  const sending = (done: number, total: number) => progress({ state: "syncing", stage: "sending", done, total });
  const fetching = (done: number) => progress({ state: "syncing", stage: "fetching", done, total: 0 });
  fetching(0);
  let sent = await pushOrSayWhy(line, sending);
  let page = await pullAll(line, fetching);
  // Due since a restore: found just now, or left over from a round that was cut short.
  if ((await store.offerDue()) && (await offerHeld(store, wire))) {
    sent = plus(sent, await pushOrSayWhy(line, sending));
    page = await pullAll(line, fetching);
  }
  const { id, name, role } = page.device;
  if (me.device !== id || me.name !== name || me.role !== role || me.epoch !== page.epoch) {
    await store.setMe({ device: id, name, role, epoch: page.epoch });
  }
  const serverNow = Date.parse(page.server_time);
  if (Number.isFinite(serverNow)) await store.letGo(serverNow);
  if (sent.why) return stuck(sent.stuck, sent.why);
  const photos = await photosToo(store, wire, page, progress);
  return { ...(photos ? { photos } : {}), state: "done", at: Date.now(), pushed: sent.pushed, setAside: sent.setAside };
}

/** After all records, so that no picture holds one up. Gives how many the shed has taken. */
async function photosToo(store: MishoStore, wire: Wire, page: PullAnswer, progress: Progress): Promise<number> {
  await store.photos.offerAgain(page.epoch);
  try {
    const now = Date.parse(page.server_time);
    if (Number.isFinite(now)) await store.photos.letGo(now);
    return await sendPhotos(store, wire, (done, total) => progress({ state: "syncing", stage: "photos", done, total }));
  } catch (error) {
    // A shed set back to a version before pictures, or a phone that may only look: they wait.
    if (error instanceof Fault && [403, 404].includes(error.status)) return 0;
    throw error;
  }
}

/** A phone that may only look, or holds a batch the shed will not have, is still told what is new. */
async function pushOrSayWhy(line: Line, progress: (done: number, total: number) => void): Promise<Pushed> {
  try {
    return await pushAll(line, progress);
  } catch (error) {
    if (!(error instanceof Fault) || ![403, 409].includes(error.status)) throw error;
    return { pushed: 0, setAside: 0, stuck: line.store.waiting.value, why: error.status === 403 ? error : null };
  }
}

function plus(a: Pushed, b: Pushed): Pushed {
  return { pushed: a.pushed + b.pushed, setAside: a.setAside + b.setAside, stuck: b.stuck, why: b.why };
}

function stuck(count: number, why: Fault): SyncOutcome {
  return {
    state: "failed",
    code: why.code,
    message: tn(
      count,
      "{n} record was not taken by the shed, and kept here: {why}",
      "{n} records were not taken by the shed, and kept here: {why}",
      { why: why.message },
    ),
    mend: why.mend || t("Hand the waiting records over as a file."),
    retryAt: null,
  };
}

async function pair({ store, wire }: Line, code: string, name: string): Promise<PairOutcome> {
  try {
    const answer = await wire.pair(code.trim(), name.trim());
    const me = { device: answer.device, name: answer.name ?? name, role: answer.role, epoch: answer.epoch };
    await store.setMe(me);
    return { ok: true, me };
  } catch (error) {
    const told = error as { code?: string; message: string; mend?: string };
    return { ok: false, code: told.code ?? "fault", message: told.message, mend: told.mend ?? t("Try again.") };
  }
}

// Our side in the browser: the bench app's own store and sync, with the bytes of its requests counted.

import type { Draft } from "../../frontend/bench/model/types";
import type { MishoStore } from "../../frontend/bench/store";
import { openStore } from "../../frontend/bench/store/open";
import { makeSync, type Sync } from "../../frontend/bench/sync";

const phones = new Map<string, { store: MishoStore; sync: Sync }>();
let up = 0;
let away = 0;

async function counted(input: string, init: RequestInit): Promise<Response> {
  const body = init.body;
  if (body instanceof ArrayBuffer) up += body.byteLength;
  else if (typeof body === "string") up += new TextEncoder().encode(body).length;
  const start = performance.now();
  const answer = await fetch(input, init);
  away += performance.now() - start;
  return answer;
}

/** Settles when the store holds no waiting record: all are acknowledged, and the store has noted it. */
function acknowledged(store: MishoStore): Promise<void> {
  return new Promise((resolve) => {
    const stop = store.waiting.subscribe((waiting) => {
      if (waiting === 0) queueMicrotask(() => (stop(), resolve()));
    });
  });
}

/** `away_s`: of the seconds to the last acknowledgement, those spent waiting for answers. */
interface Round { acknowledged_s: number; away_s: number; round_s: number; bytes_up: number; state: string; pushed: number }

const driver = {
  async pair(name: string, code: string): Promise<string> {
    const store = await openStore(name);
    const sync = makeSync(store, counted);
    phones.set(name, { store, sync });
    const outcome = await sync.pair(code, name);
    return outcome.ok ? "ok" : outcome.message;
  },

  /** Another phone's store with the session that this browser has already; its first sync fetches all. */
  async join(name: string, like: string): Promise<void> {
    const store = await openStore(name);
    const me = await phones.get(like)!.store.me();
    await store.setMe({ ...me!, epoch: "" });
    phones.set(name, { store, sync: makeSync(store, counted) });
  },

  /** Record the checks, `at_once` to a transaction. Seconds. */
  async capture(name: string, drafts: Draft[], at_once: number): Promise<number> {
    const { store } = phones.get(name)!;
    const start = performance.now();
    for (let from = 0; from < drafts.length; from += at_once) await store.capture(drafts.slice(from, from + at_once));
    return (performance.now() - start) / 1000;
  },

  /** One round: seconds to the last acknowledgement, seconds of the whole with what is fetched, bytes sent. */
  async sync(name: string): Promise<Round> {
    const { store, sync } = phones.get(name)!;
    await store.refresh();
    up = away = 0;
    const start = performance.now();
    let [acknowledged_s, away_s] = [0, 0];
    const settled = acknowledged(store).then(() => {
      acknowledged_s = (performance.now() - start) / 1000;
      away_s = away / 1000;
      void (globalThis as { noteCpu?: () => void }).noteCpu?.();
    });
    const outcome = await sync.syncNow();
    const round_s = (performance.now() - start) / 1000;
    if (outcome.state === "done") await settled;
    const pushed = outcome.state === "done" ? outcome.pushed : 0;
    const state = outcome.state === "failed" ? `${outcome.message} ${outcome.mend}` : outcome.state;
    return { acknowledged_s, away_s, round_s, bytes_up: up, state, pushed };
  },
};

Object.assign(globalThis, { driver });

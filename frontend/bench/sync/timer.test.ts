import { afterEach, beforeEach, expect, test, vi } from "vitest";
import type { Sync } from ".";
import type { MishoStore } from "../store";
import { newStore, soil } from "../testing/rows";
import { refuse, Shed } from "../testing/shed";
import { makeSync } from "./sync";
import { backoff } from "./timer";

let store: MishoStore;
let shed: Shed;
let sync: Sync;
let stop = () => {};

beforeEach(async () => {
  store = await newStore();
  shed = new Shed();
  sync = makeSync(store, shed.fetch, undefined);
  await store.setMe({ device: "d1", name: "phone", role: "helper", epoch: "e1" });
  // Only the timers that the app sets itself; the database's go on.
  vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
  vi.spyOn(Math, "random").mockReturnValue(0);
});
afterEach(() => {
  stop();
  vi.useRealTimers();
  store.close();
});

/** Until the round that is running, or about to, has ended. */
async function settled(): Promise<void> {
  await sync.syncNow();
  await Promise.resolve();
}

test("after failures the wait doubles from 1 s to 5 min, and chance takes up to half of it away", () => {
  expect([1, 2, 3, 9, 10, 50].map((n) => backoff(n, 0))).toEqual([1000, 2000, 4000, 256_000, 300_000, 300_000]);
  expect([1, 2, 3, 10].map((n) => backoff(n, 1))).toEqual([1000, 1000, 2000, 150_000]);
});

test("opening the app syncs, and then a timer does", async () => {
  stop = sync.start();
  await settled();
  expect(shed.calls).toHaveLength(1);
  await vi.advanceTimersByTimeAsync(299_000);
  expect(shed.calls).toHaveLength(1);
  await vi.advanceTimersByTimeAsync(1_000);
  await settled();
  expect(shed.calls).toHaveLength(2);
});

test("a record is handed over a few seconds after it was made", async () => {
  stop = sync.start();
  await settled();
  await store.capture([soil(1)]);
  await vi.advanceTimersByTimeAsync(3_999);
  expect(shed.pushes()).toEqual([]);
  await vi.advanceTimersByTimeAsync(1);
  await settled();
  expect(shed.pushes()).toHaveLength(1);
});

test("a shed out of reach is not asked for each record, but again when the network is back", async () => {
  shed.always = () => Promise.reject(new TypeError("network"));
  stop = sync.start();
  await settled();
  expect(sync.status.value).toMatchObject({ state: "failed", code: "away", retryAt: expect.any(Number) });
  const asked = shed.calls.length;
  await store.capture([soil(1)]);
  await vi.advanceTimersByTimeAsync(999);
  expect(shed.calls).toHaveLength(asked);
  shed.always = undefined;
  window.dispatchEvent(new Event("online"));
  await settled();
  expect(store.waiting.value).toBe(0);
});

test("coming into sight syncs", async () => {
  stop = sync.start();
  await settled();
  document.dispatchEvent(new Event("visibilitychange"));
  await settled();
  expect(shed.calls).toHaveLength(2);
});

test("Retry-After is waited for, though the app's own wait is shorter", async () => {
  shed.faults = [() => refuse(429, "slow_down", "Slow down.", "", { "Retry-After": "30" })];
  stop = sync.start();
  await settled();
  await vi.advanceTimersByTimeAsync(29_000);
  expect(shed.calls).toHaveLength(1);
  await vi.advanceTimersByTimeAsync(1_001);
  await settled();
  expect(shed.calls).toHaveLength(2);
});

test("without a pairing the timer rests; pairing starts it", async () => {
  shed.paired = false;
  stop = sync.start();
  await settled();
  await vi.advanceTimersByTimeAsync(900_000);
  expect(shed.calls).toHaveLength(1);
  await sync.pair("7KQ4-M2XD", "");
  await settled();
  await vi.advanceTimersByTimeAsync(300_000);
  await settled();
  expect(shed.calls.filter((call) => call.method === "GET")).toHaveLength(3);
});

test("stopped, it asks no more", async () => {
  stop = sync.start();
  await settled();
  stop();
  await vi.advanceTimersByTimeAsync(900_000);
  window.dispatchEvent(new Event("online"));
  expect(shed.calls).toHaveLength(1);
});

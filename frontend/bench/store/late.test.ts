// @vitest-environment node
import { expect, test, vi } from "vitest";
import { newStore, soil } from "../testing/rows";
import { lateStore } from "./late";
import { openUncounted } from "./open";
import { newSigns } from "./signs";

test("nothing is opened before something is asked, and then once; the signs are the same before and after", async () => {
  const signs = newSigns();
  const load = vi.fn(() => openUncounted("late-once", undefined, signs));
  const store = lateStore(load, signs);
  const heard: unknown[] = [];
  const stop = store.onTrees((trees) => heard.push(trees));
  expect([store.waiting.value, store.photos.waiting.value, store.setAside.value, load.mock.calls.length]).toEqual([0, 0, [], 0]);
  const [saved, me] = await Promise.all([store.capture([soil(1)]), store.me()]);
  expect([saved.length, me, store.waiting.value, load.mock.calls.length]).toEqual([1, undefined, 1, 1]);
  expect(heard).toEqual([[saved[0]!.tree]]);
  stop();
  expect(await store.photos.queue()).toEqual([]);
  store.close();
});

test("a store that could not be opened says why, and is opened with the next thing asked", async () => {
  const load = vi.fn().mockRejectedValueOnce(new Error("torn")).mockImplementation(() => newStore("late-again"));
  const store = lateStore(load, newSigns());
  await expect(store.capture([soil(1)])).rejects.toMatchObject({ code: "unknown", message: "The phone's storage failed: torn" });
  expect(await store.capture([soil(1)])).toHaveLength(1);
  store.close();
});

test("it can be waited for like any other thing, which opens nothing", async () => {
  const load = vi.fn(() => newStore());
  expect(await Promise.resolve(lateStore(load, newSigns()))).toBeDefined();
  expect(load).not.toHaveBeenCalled();
});

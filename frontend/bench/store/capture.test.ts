// @vitest-environment node
import { expect, test, vi } from "vitest";
import vectors from "../../../tests/vectors/records.json";
import type { Draft } from "../model/types";
import { BENCH, benchRow, mirror, newStore, soil, standing, stored, treeRow, uuid } from "../testing/rows";

test("each kind becomes the very record that the shed's own test takes in", async () => {
  vi.spyOn(Date, "now").mockReturnValue(vectors.phone_ms);
  const store = await newStore();
  await store.learnOffset(vectors.server_ahead_ms);
  const records = await store.capture(vectors.drafts as Draft[]);
  expect(records).toEqual(vectors.records);
  expect(await store.outbox()).toEqual(vectors.records);
  store.close();
});

test.each([3, 25])("what corrects and what is new, saved as one for %i trees, both show", async (trees) => {
  const store = await newStore();
  const all = Array.from({ length: trees }, (_, i) => i + 1);
  await mirror(store, [benchRow(), ...all.map((n) => treeRow(n))]);
  const dry = await store.capture(all.map((n) => soil(n, "dry")));
  await store.capture(all.flatMap((n): Draft[] => [
    { kind: "correction", tree: uuid(n), body: { replaces: dry[n - 1]!.id, body: { state: "wet" } } },
    { kind: "bud_check", tree: uuid(n), body: { state: "many" } },
  ]));
  const shown = (await store.treesOf(BENCH)).map(({ fresh }) => [fresh.soil?.state, fresh.buds?.state]);
  expect(shown).toEqual(all.map(() => ["wet", "many"]));
  store.close();
});

test("a look that the mirror holds is put right by one correction, and by another one after it", async () => {
  const store = await newStore();
  const st = { ...standing([]), last: { soil: ["dry", "2026-06-01"] as [string, string] } };
  vi.spyOn(Date, "now").mockReturnValue(Date.parse("2026-06-01T10:00:00Z"));
  await mirror(store, [benchRow(), treeRow(1)]);
  const [dry] = await store.capture([soil(1, "dry")]);
  await store.acknowledge([stored(dry!.id)], Date.now(), "e1");
  await mirror(store, [treeRow(1, { st })], 2);
  const shown = async () => (await store.tree(uuid(1)))?.fresh.soil?.state;
  expect(await shown()).toBeUndefined();
  for (const state of ["wet", "moist"] as const) {
    await store.capture([{ kind: "correction", tree: uuid(1), body: { replaces: dry!.id, body: { state } } }]);
    expect(await shown()).toBe(state);
  }
  store.close();
});

// Plans on the real store: how they come, what counts as looked at, how they go.

import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Plan } from "../model/plan";
import { benchRow, mirror, newStore, soil, standing, treeRow, uuid, BENCH } from "../testing/rows";
import type { FeedRow, MishoStore } from ".";

let store: MishoStore;

function look(what: string, seen = "") {
  return { what, why: `why ${what}`, must: false, seen };
}

function planRow(made_at: string, more: Partial<Plan> = {}): FeedRow {
  const stops = [
    { tree: uuid(1), tag: "K1", bench: BENCH, looks: [look("wire"), look("soil")] },
    { tree: uuid(2), tag: "K2", bench: BENCH, looks: [look("caliper"), look("taper")] },
    { tree: uuid(3), tag: "K3", bench: BENCH, looks: [look("buds", "2026-05-01")] },
  ];
  return ["plan", BENCH, { name: "South bench", on: "2026-06-01", made_at, minutes: 20, seconds: 90, stops, ...more }];
}

const BEFORE = "2020-01-01T00:00:00.000Z";
const AFTER = "2090-01-01T00:00:00.000Z";

beforeEach(async () => {
  store = await newStore();
  await mirror(store, [benchRow(), treeRow(1), treeRow(2), treeRow(3), planRow(BEFORE)]);
});

afterEach(() => store.close());

async function open(): Promise<string[][]> {
  return (await store.planned(BENCH))!.stops.map((now) => now.open.map((one) => one.what));
}

describe("a plan on the phone", () => {
  it("comes with the feed and goes with it", async () => {
    expect((await store.plans()).map((plan) => [plan.id, plan.minutes])).toEqual([[BENCH, 20]]);
    expect(await open()).toEqual([["wire", "soil"], ["caliper", "taper"], ["buds"]]);
    await mirror(store, [["plan", BENCH, null]], 2);
    expect(await store.plans()).toEqual([]);
    expect(await store.planned(BENCH)).toBeUndefined();
  });

  it("is gone after a restore that knows of none", async () => {
    await store.replaceMirror({ rows: [benchRow(), treeRow(1)], cursor: { epoch: "e2", seq: 9 }, last: true });
    expect(await store.plans()).toEqual([]);
  });

  it("counts this phone's looks since it was made, but not one that was taken back", async () => {
    const [dry] = await store.capture([soil(1)]);
    await store.capture([{ kind: "caliper", tree: uuid(2), body: { mm: 20 } }]);
    expect(await open()).toEqual([["wire"], ["taper"], ["buds"]]);
    await store.capture([{ kind: "caliper", tree: uuid(2), body: { mm: 12, height_mm: 100 } }]);
    await store.capture([{ kind: "wire_off", tree: uuid(1), body: {} }]);
    expect(await open()).toEqual([[], [], ["buds"]]);
    await store.undo(dry!.id);
    expect(await open()).toEqual([["soil"], [], ["buds"]]);
  });

  it("counts watering as seeing to a dry pot", async () => {
    await store.capture([{ kind: "work_done", tree: uuid(1), body: { task: "watered" } }]);
    await store.capture([{ kind: "work_done", tree: uuid(3), body: { task: "fed" } }]);
    expect(await open()).toEqual([["wire"], ["caliper", "taper"], ["buds"]]);
  });

  it("asks again for what was measured before it was made", async () => {
    await store.capture([{ kind: "caliper", tree: uuid(2), body: { mm: 20 } }]);
    await mirror(store, [planRow(AFTER)], 2);
    expect(await open()).toEqual([["wire", "soil"], ["caliper", "taper"], ["buds"]]);
  });

  it("counts somebody else's later look, and passes over trees that are gone", async () => {
    const st = { ...standing([]), last: { buds: ["few", "2026-06-01"] as [string, string] } };
    await mirror(store, [treeRow(3, { st }), treeRow(2, { left: "sold" })], 2);
    expect(await open()).toEqual([["wire", "soil"], [], []]);
    const [, sold, there] = (await store.planned(BENCH))!.stops;
    expect([sold!.view, there!.view?.tag]).toEqual([undefined, "K003X"]);
  });
});

// Walking a plan on the real store: two benches, taps, a kill, and what is left.

import { signal } from "@preact/signals";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { MishoStore } from "../store";
import { openStore } from "../store/open";
import { standing } from "../screens/logic/testing";
import { cellOn, stopsLeft } from "../screens/logic/plan";
import type { Desk } from "./desk";
import { place } from "./nav";
import { goOn, onward, walkTo } from "./plan";
import { Walk } from "./walk";

let store: MishoStore;
let walk: Walk;
let desk: Desk;
let name: string;

function tree(id: string, bench: string, at: number, due: "soil"[] = []): [string, string, Record<string, unknown>] {
  const row = { tag: id.toUpperCase(), species: "japanese-black-pine", phase: "trunk", sown: 2022, lot: null };
  return ["tree", id, { ...row, bench, row: 1, place: at, target: null, left: "", st: standing(due) }];
}

function stop(id: string, bench: string, ...whats: string[]) {
  const looks = whats.map((what) => ({ what, why: `why ${what} of ${id}`, must: what === "wire", seen: "" }));
  return { tree: id, tag: id.toUpperCase(), bench, looks };
}

function bench(id: string, order: number): [string, string, Record<string, unknown>] {
  return ["bench", id, { name: `Bench ${id}`, rows: 1, places: 4, order }];
}

const STOPS = [stop("a2", "a", "buds", "soil"), stop("a4", "a", "soil"), stop("b1", "b", "caliper")];
const PLAN = { name: "All", on: "2026-06-01", made_at: "2020-01-01T00:00:00Z", minutes: 9, seconds: 90, stops: STOPS };

function sit(): void {
  walk = new Walk(store, (fault) => {
    if (fault) throw fault;
  });
  desk = { store, walk, fault: signal(undefined) } as unknown as Desk;
}

beforeEach(async () => {
  name = `plan-${crypto.randomUUID()}`;
  store = await openStore(name);
  const trees = [tree("a1", "a", 1, ["soil"]), tree("a2", "a", 2), tree("a3", "a", 3), tree("a4", "a", 4), tree("b1", "b", 1)];
  const rows = [bench("a", 0), bench("b", 1), ...trees, ["plan", "nursery", PLAN]] as never;
  await store.applyPage({ rows, cursor: { epoch: "e", seq: 9 }, last: true });
  sit();
});

afterEach(() => store.close());

function here(): [string, string | null] {
  return [place.value.id, walk.state.value?.tree ?? null];
}

async function left(): Promise<string[]> {
  return stopsLeft((await store.planned("nursery"))!, new Map()).map(({ stop }) => stop.tree);
}

describe("walking a plan", () => {
  it("goes from stop to stop, across benches, to the plan when none is left", async () => {
    await goOn(desk, "nursery");
    expect(here()).toEqual(["a", "a2"]);
    expect(walk.next.value?.id).toBe("a4"); // a1 is due, and on no plan
    await walk.check("a2", "buds", "few");
    expect(walk.next.value?.id).toBe("a4");
    walk.select("a4");
    expect(walk.next.value).toBeUndefined();
    await walk.check("a4", "soil", "moist");
    await onward(desk, "nursery");
    expect(here()).toEqual(["b", "b1"]);
    await walk.save([{ kind: "caliper", tree: "b1", body: { mm: 20 } }]);
    expect(await left()).toEqual(["a2"]); // its soil is still to be felt
    await onward(desk, "nursery");
    expect(place.value).toMatchObject({ screen: "plan", id: "nursery" });
    await goOn(desk, "nursery");
    expect(here()).toEqual(["a", "a2"]);
    await walk.check("a2", "soil", "moist");
    expect(await left()).toEqual([]);
    expect((await store.outbox()).map((record) => record.kind)).toEqual([
      ...["walk_started", "bud_check", "soil_check", "walk_ended"],
      ...["walk_started", "caliper", "walk_ended", "walk_started", "soil_check"],
    ]);
  });

  it("asks each stop for what the plan wants, with the plan's reason", async () => {
    await goOn(desk, "nursery");
    expect(walk.here.value?.st?.due).toEqual([
      { what: "buds", why: "why buds of a2" },
      { what: "soil", why: "why soil of a2" },
    ]);
    expect(walk.trees.value.find((one) => one.id === "a3")?.st?.due).toEqual([]);
    expect(walk.trees.value.map((one) => cellOn(walk.stops.value, one))).toEqual([
      { look: "quiet", word: "soil" }, // due, and no stop: it says so, and does not stand out
      { look: "due", word: "soil +1" },
      { look: "quiet", word: "" },
      { look: "due", word: "soil" },
    ]);
  });

  it("opens after a kill where it was, on the plan", async () => {
    await goOn(desk, "nursery");
    await walk.check("a2", "soil", "moist");
    walk.select("a4");
    await walk.check("a4", "soil", "wet");
    store.close();
    store = await openStore(name);
    sit();
    await walk.resume();
    expect(walk.state.value).toMatchObject({ bench: "a", tree: "a4", plan: "nursery" });
    expect(stopsLeft(walk.planned.value!, walk.answers.value).map(({ stop }) => stop.tree)).toEqual(["a2", "b1"]);
    await onward(desk, "nursery");
    expect(here()).toEqual(["b", "b1"]);
  });

  it("takes up a walk that is open along the same bench, and lets a plan rest by opening another bench", async () => {
    await walk.open("a");
    await walk.check("a1", "soil", "moist");
    const { run } = walk.state.value!;
    await walkTo(desk, "nursery", (await store.planned("nursery"))!.stops[1]!);
    expect(walk.state.value).toMatchObject({ run, tree: "a4", plan: "nursery" });
    await walk.open("b");
    expect(walk.planned.value).toBeUndefined();
    expect(walk.here.value?.st?.due).toEqual([]);
  });

  it("passes over a tree that has gone, and follows one that moved", async () => {
    await store.capture([
      { kind: "tree_left", tree: "a2", body: { how: "sold" } },
      { kind: "tree_move", tree: "a4", body: { bench: "b", row: 1, place: 2 } },
    ]);
    await goOn(desk, "nursery");
    expect(here()).toEqual(["b", "a4"]);
    expect(await left()).toEqual(["a4", "b1"]);
  });

  it("goes on as a plain walk when the shed takes the plan away", async () => {
    await goOn(desk, "nursery");
    await store.applyPage({ rows: [["plan", "nursery", null]], cursor: { epoch: "e", seq: 10 }, last: true });
    await walk.reload();
    expect(walk.planned.value).toBeUndefined();
    walk.select("a3");
    expect(walk.next.value).toBeUndefined(); // nothing due after it
  });
});

// The walk on the real store.

import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { openStore, type MishoStore } from "../store";
import { standing } from "../screens/logic/testing";
import { Walk } from "./walk";

let store: MishoStore;
let faults: unknown[];
let walk: Walk;

function tree(id: string, place: number): [string, string, Record<string, unknown>] {
  const st = standing(["wire", "soil"], { wire: { state: "snug", since: null, by: null, why: "" } });
  const row = { tag: id.toUpperCase(), species: "japanese-black-pine", phase: "trunk", sown: 2022, lot: null };
  return ["tree", id, { ...row, bench: "b", row: 1, place, target: null, left: "", st }];
}

beforeEach(async () => {
  store = await openStore(`walk-${crypto.randomUUID()}`);
  await store.applyPage({
    rows: [
      ["bench", "b", { name: "South bench", rows: 1, places: 3, order: 0 }],
      tree("t1", 1),
      tree("t2", 2),
      tree("t3", 3),
    ],
    cursor: { epoch: "e", seq: 4 },
    last: true,
  });
  faults = [];
  walk = new Walk(store, (fault) => fault && faults.push(fault));
  await walk.open("b");
});

afterEach(() => {
  vi.restoreAllMocks();
  store.close();
});

async function saved(): Promise<[string, object][]> {
  return (await store.outbox()).map((r) => [r.kind, r.body]);
}

describe("a walk", () => {
  it("stands at the first tree with something due, and has recorded nothing yet", async () => {
    expect(walk.here.value?.id).toBe("t1");
    expect(await saved()).toEqual([]);
  });

  it("begins with its first record, once", async () => {
    await walk.check("t1", "soil", "moist");
    await walk.check("t1", "wire", "snug");
    expect(await saved()).toEqual([
      ["walk_started", { bench: "b" }],
      ["soil_check", { state: "moist" }],
      ["wire_look", { state: "snug" }],
    ]);
  });

  it("takes two taps in one breath as a record and its correction", async () => {
    const taps = [walk.check("t1", "soil", "moist"), walk.check("t1", "soil", "dry"), walk.check("t1", "soil", "dry")];
    expect(await Promise.all(taps)).toEqual([true, true, true]);
    const [, first, second, ...more] = await store.outbox();
    expect(first?.kind).toBe("soil_check");
    expect(second?.body).toEqual({ replaces: first?.id, body: { state: "dry" } });
    expect(more).toEqual([]);
    expect(walk.answers.value.get("t1")?.soil?.value).toBe("dry");
  });

  it("shows the same after the bench was read anew", async () => {
    await walk.check("t1", "wire", "biting");
    await walk.check("t1", "wire", "marking");
    const shown = walk.answers.value.get("t1");
    await walk.reload();
    expect(walk.answers.value.get("t1")).toEqual(shown);
  });

  it("goes on by itself after Fine, which records only what is still open", async () => {
    await walk.fine();
    expect(walk.here.value?.id).toBe("t2");
    await walk.check("t3", "wire", "marking");
    walk.select("t3");
    await walk.fine();
    expect((await saved()).slice(-1)).toEqual([["soil_check", { state: "moist" }]]);
  });

  it("undoes a bulk tap as a whole, and then the tap before it", async () => {
    await walk.check("t2", "soil", "dry");
    await walk.rest();
    expect([...walk.answers.value.keys()].sort()).toEqual(["t1", "t2", "t3"]);
    await walk.undo();
    expect([...walk.answers.value]).toHaveLength(1);
    expect(walk.answers.value.get("t2")?.soil?.value).toBe("dry");
    await walk.undo();
    expect([...walk.answers.value]).toHaveLength(0);
    expect(walk.here.value?.id).toBe("t2");
    expect(await walk.undo()).toBe(true);
  });

  it("gives a row one soil word, but keeps what was answered by a tap of its own", async () => {
    await walk.check("t1", "soil", "dry");
    await walk.soil(walk.trees.value, "moist");
    await walk.soil(walk.trees.value, "wet");
    const words = ["t1", "t2", "t3"].map((id) => walk.answers.value.get(id)?.soil?.value);
    expect(words).toEqual(["dry", "wet", "wet"]);
    expect((await store.outbox()).filter((r) => r.kind === "correction")).toHaveLength(2);
  });

  it("closes up where a tree left the nursery, and one undo brings it back", async () => {
    walk.select("t3");
    await walk.save([{ kind: "tree_left", tree: "t3", body: { how: "died" } }]);
    expect([walk.trees.value.map((t) => t.id), walk.here.value?.id]).toEqual([["t1", "t2"], "t2"]);
    await walk.undo();
    expect([walk.trees.value.map((t) => t.id), walk.here.value?.id]).toEqual([["t1", "t2", "t3"], "t3"]);
  });

  it("is taken up again where the app was killed", async () => {
    await walk.check("t1", "soil", "moist");
    walk.select("t2");
    await walk.check("t2", "soil", "moist");
    const again = new Walk(store, (fault) => fault && faults.push(fault));
    await again.resume();
    expect([again.bench.value?.name, again.here.value?.id, again.answers.value.size]).toEqual(["South bench", "t2", 2]);
    expect(again.state.value?.run).toBe(walk.state.value?.run);
  });

  it("ends by a record, and goes on when that is taken back", async () => {
    await walk.check("t1", "soil", "moist");
    const run = walk.state.value?.run ?? "";
    await walk.end();
    expect([await store.walk(), (await saved()).at(-1)]).toEqual([undefined, ["walk_ended", {}]]);
    await walk.again("b", run);
    expect([walk.state.value?.run, walk.here.value?.id]).toEqual([run, "t1"]);
    await walk.check("t1", "soil", "wet");
    expect((await store.outbox()).filter((r) => r.kind === "walk_started")).toHaveLength(1);
  });

  it("without any record is just closed", async () => {
    await walk.end();
    expect(await saved()).toEqual([]);
  });

  it("tells a fault and saves nothing where the memory is full", async () => {
    vi.spyOn(IDBObjectStore.prototype, "add").mockImplementation(() => {
      throw new DOMException("full", "QuotaExceededError");
    });
    expect(await walk.check("t1", "soil", "dry")).toBe(false);
    expect(faults).toHaveLength(1);
    expect(walk.answers.value.size).toBe(0);
    expect(await saved()).toEqual([]);
  });
});

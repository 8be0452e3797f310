// The walk on the real store.

import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { MishoStore } from "../store";
import { openStore } from "../store/open";
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

  describe("shown as it was left, with the records in sight only", () => {
    let again: Walk;
    let show: () => void;
    let read: Promise<boolean>;

    beforeEach(async () => {
      await walk.check("t1", "soil", "moist");
      await walk.check("t3", "soil", "dry");
      walk.select("t1");
      const records = walk.records.value.filter(({ record }) => record.tree !== "t3");
      const trees = walk.trees.value.filter(({ id }) => id !== "t3");
      const others = { me: { device: "d", name: "", role: "helper", epoch: "e" } as const, species: new Map(), waiting: 3, photos: 0 };
      const seen = { walk: walk.state.value!, bench: walk.bench.value!, trees, all: 3, records, beyond: 1 };
      again = new Walk(store, (fault) => fault && faults.push(fault));
      read = again.begin({ ...structuredClone(seen), ...others }, new Promise<void>((done) => (show = done)));
    });

    it("counts what was looked at out of sight too, before and after all is read", async () => {
      expect([again.looked.value, again.answers.value.size]).toEqual([2, 1]);
      await again.check("t2", "soil", "wet");
      expect(again.looked.value).toBe(3);
      show();
      expect(await read).toBe(true);
      expect([again.looked.value, again.answers.value.size]).toEqual([3, 3]);
    });

    it("takes back what was recorded last, though that was out of sight", async () => {
      const undone = again.undo();
      show();
      expect(await undone).toBe(true);
      const { kind, tree } = (await store.outbox()).at(-1)!;
      expect([kind, tree, again.here.value?.id]).toEqual(["correction", "t3", "t3"]);
      expect(await read).toBe(true);
      expect([...again.answers.value.keys()]).toEqual(["t1"]);
    });
  });

  describe("shown by a first look", () => {
    const trees = async () => (await store.treesOf("b")).filter(({ id }) => id !== "t3");
    let again: Walk;
    let show: () => void;
    let read: Promise<boolean>;

    beforeEach(async () => {
      await walk.check("t1", "soil", "moist");
      await walk.check("t2", "soil", "moist");
      walk.select("t2");
      const [state, records] = [walk.state.value!, await store.recordsOfRun(walk.state.value!.run)];
      again = new Walk(store, (fault) => fault && faults.push(fault));
      const first = { walk: state, bench: walk.bench.value!, trees: await trees(), all: 3, records, beyond: 0 };
      const shown = new Promise<void>((done) => (show = done));
      const others = { me: { device: "d", name: "", role: "helper", epoch: "e" } as const, species: new Map(), waiting: 3, photos: 0 };
      read = again.begin({ ...first, ...others }, shown);
    });

    it("stands where it was left, counts all trees, and knows no further than it sees", async () => {
      expect([again.here.value?.id, again.size.value, again.answers.value.size, again.next.value]).toEqual(["t2", 3, 2, undefined]);
      again.select("t1");
      expect(again.next.value?.id).toBe("t2");
      again.select("t2");
      show();
      expect(await read).toBe(true);
      expect([again.trees.value.length, again.size.value, again.next.value?.id]).toEqual([3, 3, "t3"]);
    });

    it("saves a tap before all is read, and shows it after that too", async () => {
      expect(await again.check("t2", "soil", "dry")).toBe(true);
      expect((await saved()).at(-1)).toEqual(["correction", expect.objectContaining({ body: { state: "dry" } })]);
      expect([again.trees.value.length, again.answers.value.get("t2")?.soil?.value]).toEqual([2, "dry"]);
      show();
      await read;
      expect([again.trees.value.length, again.answers.value.get("t2")?.soil?.value]).toEqual([3, "dry"]);
      await vi.waitFor(() => expect(again.here.value?.fresh.soil?.state).toBe("dry"));
    });

    it("reads anew what a tap changed while all was being read", async () => {
      const treesOf = store.treesOf.bind(store);
      const tapped = vi.fn();
      vi.spyOn(store, "treesOf").mockImplementationOnce(async (bench) => {
        const before = await treesOf(bench);
        tapped(await again.check("t1", "wire", "marking"));
        return before;
      });
      show();
      await read;
      expect(tapped).toHaveBeenCalledWith(true);
      await vi.waitFor(() => expect(again.trees.value.find(({ id }) => id === "t1")?.fresh.wire?.state).toBe("marking"));
    });

    it("keeps what it shows of a tree that nothing was said of since", async () => {
      const seen = again.trees.value.find(({ id }) => id === "t1");
      show();
      await read;
      expect(again.trees.value.find(({ id }) => id === "t1")).toBe(seen);
    });

    it("shows what another tab recorded on a tree before it could be heard", async () => {
      await store.capture([{ kind: "soil_check", tree: "t2", run: "another", body: { state: "wet" } }]);
      show();
      await read;
      expect(again.trees.value.find(({ id }) => id === "t2")?.fresh.soil?.state).toBe("wet");
    });

    it("goes where another tab has gone before it could be heard, unless a tap came first", async () => {
      await store.setWalk({ ...again.state.value!, tree: "t1" });
      show();
      expect(await read).toBe(true);
      expect(again.here.value?.id).toBe("t1");
    });

    it("is closed where another tab has ended the walk", async () => {
      await walk.end();
      show();
      expect(await read).toBe(true);
      expect(again.state.value).toBeUndefined();
    });

    it("stays at the tree that was tapped, whatever another tab did before", async () => {
      await store.setWalk({ ...again.state.value!, tree: "t1" });
      again.select("t3");
      show();
      expect(await read).toBe(true);
      expect([again.state.value?.tree, (await store.walk())?.tree]).toEqual(["t3", "t3"]);
    });

    it("learns the bench's new name", async () => {
      const row: [string, string, Record<string, unknown>] = ["bench", "b", { name: "Low bench", rows: 1, places: 3, order: 0 }];
      await store.applyPage({ rows: [row], cursor: { epoch: "e", seq: 5 }, last: true });
      show();
      await read;
      expect(again.bench.value?.name).toBe("Low bench");
    });

    it("learns what another tab recorded on the walk before it could be heard", async () => {
      const run = again.state.value!.run;
      await store.capture([{ kind: "bud_check", tree: "t1", run, body: { state: "few" } }]);
      show();
      expect(await read).toBe(true);
      expect(again.answers.value.get("t1")?.buds?.value).toBe("few");
    });

    it("goes on after Fine to a tree that it did not see yet", async () => {
      await again.check("t2", "wire", "snug");
      const fine = again.fine();
      show();
      expect(await fine).toBe(true);
      expect(again.here.value?.id).toBe("t3");
    });

    it("waits with what may change the bench itself", async () => {
      const moved = again.save([{ kind: "tree_left", tree: "t2", body: { how: "died" } }]);
      expect(await saved()).toHaveLength(3);
      show();
      expect(await moved).toBe(true);
      expect([again.trees.value.map(({ id }) => id), again.here.value?.id]).toEqual([["t1", "t3"], "t3"]);
    });

    it("does for the whole bench what is asked before all is read", async () => {
      const seen = again.whole(() => void again.soil(again.trees.value, "wet"));
      expect(await saved()).toHaveLength(3);
      show();
      await seen;
      await again.check("t1", "wire", "snug");
      expect(await saved()).toContainEqual(["soil_check", { state: "wet", bulk: true }]);
      expect(again.answers.value.get("t3")?.soil?.value).toBe("wet");
    });

    it("asks for nothing of the whole bench where it cannot be read, and says why", async () => {
      vi.spyOn(store, "treesOf").mockRejectedValue(new Error("gone"));
      const work = vi.fn();
      const seen = again.whole(work);
      show();
      await seen;
      expect([await read, work.mock.calls.length, again.partial.value]).toEqual([false, 0, 3]);
      expect(faults).toHaveLength(2);
    });
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

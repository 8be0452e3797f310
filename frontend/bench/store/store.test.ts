// @vitest-environment node
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import type { MishoStore } from ".";
import { BENCH, benchRow, mirror, newStore, soil, standing, stored, treeRow, uuid } from "../testing/rows";
import { KEPT } from "./outbox";

const VERDICT = { reason: "unknown_tree", field: "tree", message: "No such tree.", mend: "Record the tree." };

let store: MishoStore;
beforeEach(async () => {
  store = await newStore();
});
afterEach(() => store.close());

const tags = (trees: { tag: string }[]) => trees.map((tree) => tree.tag);

test("captured records are numbered without gaps, stamped upwards, and wait", async () => {
  const first = await store.capture([soil(1), soil(2)]);
  const second = await store.capture([soil(3)]);
  const all = [...first, ...second];
  expect(all.map((record) => record.device_seq)).toEqual([1, 2, 3]);
  const stamps = all.map((record) => record.hlc);
  expect([...stamps].sort()).toEqual(stamps);
  expect(new Set(stamps).size).toBe(3);
  expect(store.waiting.value).toBe(3);
  expect(await store.outbox()).toEqual(all);
});

test("a record has the wire form, with the phone's own wall time and the shed's corrected stamp", async () => {
  vi.spyOn(Date, "now").mockReturnValue(Date.parse("2026-06-01T08:15:00.000Z"));
  await store.learnOffset(60_000);
  const [record] = await store.capture([{ kind: "caliper", tree: uuid(1), run: uuid(2), body: { mm: 12.5 } }]);
  expect(record).toEqual({
    id: record!.id,
    device_seq: 1,
    kind: "caliper",
    v: 1,
    tree: uuid(1),
    run: uuid(2),
    observed_at: "2026-06-01T08:15:00.000Z",
    utc_offset_min: 0,
    hlc: `${String(Date.parse("2026-06-01T08:16:00.000Z")).padStart(15, "0")}-0000`,
    body: { mm: 12.5 },
  });
});

test("a capture that fails half way leaves nothing, and the next number is not skipped", async () => {
  await store.capture([{ ...soil(1), id: uuid(71) }]);
  await expect(store.capture([soil(2), { ...soil(3), id: uuid(71) }])).rejects.toMatchObject({ code: "unknown" });
  expect(store.waiting.value).toBe(1);
  expect((await store.capture([soil(2)]))[0]!.device_seq).toBe(2);
});

test("a bench is given in walking order, without the trees that left", async () => {
  await mirror(store, [
    benchRow(), treeRow(2), treeRow(1), treeRow(3, { row: 2, place: 1 }), treeRow(4, { row: 2, place: 5 }),
    treeRow(5, { left: "died" }), treeRow(6, { bench: uuid(1) }),
  ]);
  expect(tags(await store.treesOf(BENCH))).toEqual(["K001X", "K002X", "K004X", "K003X"]);
});

test("what was recorded here is fresh until the mirror holds it", async () => {
  await mirror(store, [benchRow(), treeRow(1)]);
  const [record] = await store.capture([soil(1, "dry")]);
  const fresh = { soil: { state: "dry", record: record!.id, run: null, observed_at: record!.observed_at, bulk: false } };
  expect((await store.treesOf(BENCH))[0]!.fresh).toEqual(fresh);
  await store.acknowledge([stored(record!.id)], 1);
  await store.refresh();
  expect((await store.tree(uuid(1)))!.fresh).toEqual(fresh);
  await mirror(store, [treeRow(1)], 2);
  expect((await store.tree(uuid(1)))!.fresh).toEqual({});
});

test("undo takes a record back here at once, by a new record", async () => {
  await mirror(store, [benchRow(), treeRow(1)]);
  const [wet] = await store.capture([soil(1, "wet")]);
  const [dry] = await store.capture([soil(1, "dry")]);
  const undo = await store.undo(dry!.id);
  expect(undo).toMatchObject({ kind: "correction", tree: uuid(1), body: { replaces: dry!.id, withdraw: true } });
  expect((await store.tree(uuid(1)))!.fresh.soil?.state).toBe("wet");
  const mine = await store.recordsOf(uuid(1));
  expect(mine.map((local) => [local.record.id, local.withdrawn])).toEqual([
    [undo.id, false], [dry!.id, true], [wet!.id, false],
  ]);
});

test("undo of what the mirror holds shows at once: the look is gone, and due again", async () => {
  await mirror(store, [benchRow(), treeRow(1)]);
  const [dry] = await store.capture([soil(1, "dry")]);
  await store.acknowledge([stored(dry!.id)], 1);
  const day = dry!.observed_at.slice(0, 10);
  await mirror(store, [treeRow(1, { st: { ...standing([]), last: { soil: ["dry", day], buds: ["few", day] } } })], 2);
  expect((await store.benchCounts()).get(BENCH)).toMatchObject({ trees: 1, due: 0 });
  await store.undo(dry!.id);
  const tree = (await store.tree(uuid(1)))!;
  expect(tree.fresh).toEqual({});
  expect(tree.st!.last).toEqual({ buds: ["few", day] });
  expect(tree.st!.due).toEqual([{ what: "soil", why: "soil taken back here: look again" }]);
  expect((await store.benchCounts()).get(BENCH)).toMatchObject({ due: 1, whats: { soil: 1 } });
  const after = await store.outbox();
  await store.acknowledge([stored(after[0]!.id)], 3);
  await mirror(store, [treeRow(1, { st: standing([]) })], 3);
  expect((await store.tree(uuid(1)))!.st!.due).toEqual([]);
});

test("what is put right after the mirror held it shows at once, unless somebody looked since", async () => {
  await mirror(store, [treeRow(1), treeRow(2)]);
  const [a, b] = await store.capture([soil(1, "dry"), soil(2, "dry")]);
  await store.acknowledge([stored(a!.id), stored(b!.id)], 1);
  const day = a!.observed_at.slice(0, 10);
  const with_ = (state: string) => ({ st: { ...standing([]), last: { soil: [state, day] as [string, string] } } });
  await mirror(store, [treeRow(1, with_("dry")), treeRow(2, with_("moist"))], 2);
  await store.correct(a!.id, { state: "wet" });
  await store.undo(b!.id);
  expect((await store.tree(uuid(1)))!.fresh.soil?.state).toBe("wet");
  expect((await store.tree(uuid(2)))!.st!.last.soil).toEqual(["moist", day]);
  expect((await store.tree(uuid(2)))!.st!.due).toEqual([]);
});

test("benches are counted as pages come: in, out, moved, answered here, and anew with the mirror", async () => {
  const other = uuid(9002);
  const wire = { state: "biting" as const, since: null, by: null, why: "" };
  await mirror(store, [
    benchRow(), benchRow(other, "North bench"), treeRow(1, { st: standing(["soil"]) }),
    treeRow(2, { st: { ...standing(["wire", "soil"]), wire } }), treeRow(3),
  ]);
  expect((await store.benchCounts()).get(BENCH)).toEqual({ trees: 3, due: 2, whats: { soil: 2, wire: 1 }, bitten: 1 });
  await store.capture([soil(1)]);
  expect((await store.benchCounts()).get(BENCH)).toMatchObject({ trees: 3, due: 1, whats: { soil: 1, wire: 1 } });
  await mirror(store, [treeRow(2, { bench: other }), ["tree", uuid(3), null]], 2);
  expect((await store.benchCounts()).get(BENCH)).toMatchObject({ trees: 1, due: 0, bitten: 0 });
  expect((await store.benchCounts()).get(other)).toMatchObject({ trees: 1, due: 0 });
  await store.replaceMirror({ rows: [benchRow(), treeRow(7)], cursor: { epoch: "e2", seq: 1 }, last: true });
  const counts = await store.benchCounts();
  expect([...counts.keys()]).toEqual([BENCH]);
  expect(counts.get(BENCH)!.trees).toBe(1);
});

test("a correction of a correction names the first record", async () => {
  const [first] = await store.capture([{ kind: "caliper", tree: uuid(1), body: { mm: 120 } }]);
  const second = await store.correct(first!.id, { mm: 12 });
  const third = await store.correct(second.id, { mm: 12.5 });
  expect(third.body).toEqual({ replaces: first!.id, body: { mm: 12.5 } });
  await mirror(store, [treeRow(1)]);
  expect((await store.tree(uuid(1)))!.fresh.caliper?.state).toBe(12.5);
});

test("moves, tags and new trees of this phone stand where it put them", async () => {
  const other = uuid(9002);
  await mirror(store, [
    benchRow(), benchRow(other, "North bench"),
    treeRow(1, { st: standing(["wire"]) }), treeRow(2, { bench: other, place: 1 }),
  ]);
  await store.capture([
    { kind: "tree_move", tree: uuid(1), body: { bench: other, row: 1, place: 2 } },
    { kind: "tree_tag", tree: uuid(2), body: { tag: "Old pine" } },
    { kind: "tree_new", tree: uuid(3), body: { tag: "N001", species: "trident-maple" } },
    { kind: "tree_move", tree: uuid(3), body: { bench: other, row: 1, place: 3 } },
  ]);
  expect(tags(await store.treesOf(other))).toEqual(["Old pine", "K001X", "N001"]);
  expect(await store.treesOf(BENCH)).toEqual([]);
  const counts = await store.benchCounts();
  expect(counts.get(BENCH)).toMatchObject({ trees: 0, due: 0 });
  expect(counts.get(other)).toMatchObject({ trees: 3, due: 1 });
  expect((await store.tree(uuid(3)))!.local).toBe(true);
  expect(tags(await store.findByTag("old"))).toEqual(["Old pine"]);
  expect(await store.findByTag("K002")).toEqual([]);
  expect(tags(await store.findByEnd(uuid(2).slice(-8).toUpperCase()))).toEqual(["Old pine"]);
  expect(tags(await store.findByEnd(uuid(3).slice(-8)))).toEqual(["N001"]);
  expect(await store.findByEnd("FFFFFFFF")).toEqual([]);
});

test("a killed app opens where it was", async () => {
  const walk = { run: uuid(5), bench: BENCH, tree: uuid(1), started_at: "2026-06-01T08:00:00.000Z" };
  const again = await newStore("killed");
  await again.capture([soil(1)], walk);
  // Killed: nothing is closed. Another one opens the same database.
  const opened = await newStore("killed");
  expect(await opened.walk()).toEqual(walk);
  expect(opened.waiting.value).toBe(1);
  expect((await opened.capture([soil(2)]))[0]!.device_seq).toBe(2);
  await opened.setWalk(undefined);
  expect(await again.walk()).toBeUndefined();
  again.close();
  opened.close();
});

test("an acknowledgement is on the disk at once, and outlives a kill right after it", async () => {
  const name = "killed-while-handing-over";
  const phone = await newStore(name);
  const [a, b, c] = await phone.capture([soil(1), soil(2), soil(3)]);
  await phone.acknowledge([stored(a!.id), { id: b!.id, outcome: "set_aside", ...VERDICT }], 1);
  expect(phone.waiting.value).toBe(1);
  phone.close();
  const again = await newStore(name);
  expect(again.waiting.value).toBe(1);
  expect(await again.outbox()).toEqual([c]);
  expect(again.setAside.value.map((local) => local.record.id)).toEqual([b!.id]);
  again.close();
});

test("of two answers about one record the first holds", async () => {
  const [record] = await store.capture([soil(1)]);
  await store.acknowledge([{ id: record!.id, outcome: "set_aside", ...VERDICT }], 1);
  await store.acknowledge([{ ...stored(record!.id), outcome: "duplicate" }], 2);
  expect(store.waiting.value).toBe(0);
  await store.refresh();
  expect(store.setAside.value.map((local) => local.reason)).toEqual([VERDICT.reason]);
});

test("the last page of a fetch makes what was acknowledged seen", async () => {
  const [record] = await store.capture([soil(1)]);
  await store.acknowledge([stored(record!.id)], 1);
  await mirror(store, [benchRow(), treeRow(1)]);
  expect(await store.held()).toEqual([record!.id]);
  expect((await store.tree(uuid(1)))!.fresh).toEqual({});
});

test("only an acknowledgement takes a record out of the outbox", async () => {
  const [a, b] = await store.capture([soil(1), soil(2)]);
  await store.acknowledge([stored(a!.id), stored(uuid(99))], 1);
  await store.refresh();
  expect(await store.outbox()).toEqual([b]);
  await store.replaceMirror({ rows: [], cursor: { epoch: "e2", seq: 0 }, last: true });
  await store.setMe({ device: uuid(1), name: "", role: "helper", epoch: "e2" });
  expect(await store.outbox()).toEqual([b]);
});

test("what was set aside is shown with its mend, until it is settled", async () => {
  const [record] = await store.capture([{ kind: "caliper", tree: uuid(1), body: { mm: 5000 } }]);
  const verdict = { reason: "bad_value", field: "body.mm", message: "5000 mm is no caliper.", mend: "Measure again." };
  await store.acknowledge([{ id: record!.id, outcome: "set_aside", ...verdict }], 1);
  await store.refresh();
  expect(store.waiting.value).toBe(0);
  expect(store.setAside.value).toEqual([{ record, state: "set_aside", withdrawn: false, ...verdict }]);
  await store.applyPage({
    rows: [["fate", record!.id, { fate: "withdrawn", reason: "", message: "", mend: "" }]],
    cursor: { epoch: "e1", seq: 3 },
    last: true,
  });
  expect(store.setAside.value).toEqual([]);
});

test("why it was set aside is kept as the data that it came as", async () => {
  const [asked, told] = await store.capture([soil(1), soil(2)]);
  const message = ["{value} is not a known word", { value: "'soggy'" }] as const;
  const mend = ["Use one of: {words}.", { words: "dry, moist, wet" }] as const;
  const verdict = { reason: "bad_value", message, mend };
  await store.acknowledge([{ id: asked!.id, outcome: "set_aside", field: "body.state", ...verdict }, stored(told!.id)], 1);
  await mirror(store, [["fate", told!.id, { fate: "set_aside", ...verdict }]]);
  await store.refresh();
  expect(store.setAside.value.map((local) => [local.message, local.mend])).toEqual([[message, mend], [message, mend]]);
});

test("a replay answered duplicate keeps what the fate row says", async () => {
  const [record] = await store.capture([soil(1)]);
  const fate = { fate: "set_aside", reason: "unknown_tree", message: "No such tree.", mend: "Record the tree." };
  await mirror(store, [["fate", record!.id, fate]]);
  expect(store.waiting.value).toBe(1);
  await store.acknowledge([{ ...stored(record!.id), outcome: "duplicate" }], 1);
  await store.refresh();
  expect(store.setAside.value.map((local) => local.reason)).toEqual(["unknown_tree"]);
});

test("acknowledged records are kept for 30 days of the shed's time, waiting ones for ever", async () => {
  const [old, young] = await store.capture([soil(1), soil(2), soil(3)]);
  const day = 24 * 3600_000;
  await store.acknowledge([stored(old!.id)], 100 * day);
  await store.refresh();
  await store.acknowledge([stored(young!.id)], 101 * day);
  await store.refresh();
  await mirror(store, []);
  expect(KEPT).toBe(30 * day);
  expect(await store.letGo(130 * day)).toBe(0);
  expect(await store.letGo(130 * day + 1)).toBe(1);
  expect(await store.held()).toEqual([young!.id]);
  expect(store.waiting.value).toBe(1);
});

test("what is set aside, or not yet seen in the mirror, is not let go", async () => {
  const [aside, unseen] = await store.capture([soil(1), soil(2)]);
  await store.acknowledge([{ id: aside!.id, outcome: "set_aside", ...VERDICT }, stored(unseen!.id)], 1);
  await store.refresh();
  expect(await store.letGo(1e15)).toBe(0);
  expect(await store.held()).toEqual([aside!.id, unseen!.id]);
});

test("a late second answer does not change what the first one said", async () => {
  const [record] = await store.capture([soil(1)]);
  await store.acknowledge([{ id: record!.id, outcome: "set_aside", ...VERDICT }], 1);
  await store.refresh();
  await store.acknowledge([stored(record!.id)], 2);
  await store.refresh();
  expect(store.setAside.value.map((local) => local.reason)).toEqual(["unknown_tree"]);
});

test("records offered again wait as they were, and are fresh again", async () => {
  await mirror(store, [treeRow(1)]);
  const [record] = await store.capture([soil(1)]);
  await store.acknowledge([stored(record!.id)], 1);
  await store.refresh();
  await mirror(store, [treeRow(1)], 2);
  await store.offerAgain([record!.id]);
  expect(await store.outbox()).toEqual([record]);
  expect((await store.tree(uuid(1)))!.fresh.soil?.state).toBe("dry");
});

test("a feed row that is gone takes the thing out of the mirror; an unknown topic is passed over", async () => {
  await mirror(store, [benchRow(), treeRow(1)]);
  await mirror(store, [["tree", uuid(1), null], ["weather", "x", { rain: 1 }]], 2);
  expect(await store.tree(uuid(1))).toBeUndefined();
  expect(await store.cursor()).toEqual({ epoch: "e1", seq: 2 });
});

test("a page that cannot be kept leaves rows and cursor as they were", async () => {
  await mirror(store, [benchRow(), treeRow(1)]);
  const bad = ["tree", uuid(2), { tag: null }] as unknown as ReturnType<typeof treeRow>;
  await expect(mirror(store, [treeRow(3), bad], 9)).rejects.toMatchObject({ name: "StoreError" });
  expect(await store.cursor()).toEqual({ epoch: "e1", seq: 1 });
  expect(tags(await store.treesOf(BENCH))).toEqual(["K001X"]);
});

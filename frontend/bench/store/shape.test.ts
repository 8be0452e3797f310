// @vitest-environment node
// Records stand as they were made; what became of them is told by their numbers.
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import type { MishoStore } from ".";
import { BENCH, benchRow, mirror, newStore, soil, standing, stored, treeRow, uuid } from "../testing/rows";
import { KEPT } from "./outbox";
import { Tables } from "./tables";

const VERDICT = { reason: "unknown_tree", field: "tree", message: "No such tree.", mend: "Record the tree." };

let store: MishoStore;
beforeEach(async () => {
  store = await newStore();
});
afterEach(() => store.close());

test("a record of its own tells no state: what the shed has is remembered by ranges of numbers", async () => {
  const records = await store.capture(Array.from({ length: 9 }, (_, n) => soil(n)));
  const put = vi.spyOn(IDBObjectStore.prototype, "put");
  await store.acknowledge(records.slice(0, 4).map((record) => stored(record.id)), 1, "e1", records.slice(0, 4));
  await store.acknowledge(records.slice(5).map((record) => stored(record.id)), 1, "e1", records.slice(5));
  expect(put.mock.contexts.map((table) => (table as IDBObjectStore).name)).toEqual(["meta", "meta", "meta"]);
  vi.restoreAllMocks();
  expect(await store.outbox()).toEqual([records[4]]);
  expect(await store.oldest(3, 5)).toEqual([]);
});

test("an answer is about the records that were sent, and about no other", async () => {
  const [a, b] = await store.capture([soil(1), soil(2)]);
  await store.acknowledge([stored(a!.id), stored(b!.id)], 1, "e1", [a!]);
  expect(store.waiting.value).toBe(1);
  expect(await store.outbox()).toEqual([b]);
});

test("some records of many offered again wait, in their order, and the others do not", async () => {
  const records = await store.capture(Array.from({ length: 7 }, (_, n) => soil(n)));
  await store.acknowledge(records.map((record) => stored(record.id)), 1);
  await store.capture([soil(8)]);
  await store.offerAgain([records[5]!.id, records[1]!.id, records[2]!.id, uuid(77)]);
  expect((await store.outbox()).map((record) => record.device_seq)).toEqual([2, 3, 6, 8]);
  expect(store.waiting.value).toBe(4);
  expect((await store.oldest(2, 2)).map((record) => record.device_seq)).toEqual([3, 6]);
  await store.acknowledge([stored(records[2]!.id)], 2);
  expect((await store.outbox()).map((record) => record.device_seq)).toEqual([2, 6, 8]);
  expect(await store.held()).toEqual([0, 2, 3, 4, 6].map((n) => records[n]!.id));
});

test("what was set aside and is offered again waits, and is judged anew", async () => {
  const [record] = await store.capture([soil(1)]);
  await store.acknowledge([{ id: record!.id, outcome: "set_aside", ...VERDICT }], 1);
  await store.offerAgain([record!.id]);
  expect(store.setAside.value).toEqual([]);
  expect(await store.outbox()).toEqual([record]);
  await store.acknowledge([stored(record!.id)], 2);
  expect((await store.recordsOf(uuid(1))).map((local) => [local.state, local.reason])).toEqual([["acknowledged", ""]]);
});

test("set aside, then corrected here: it counts no more as unsettled once the shed says so, and is let go in time", async () => {
  const [record] = await store.capture([{ kind: "caliper", tree: uuid(1), body: { mm: 5000 } }]);
  await store.acknowledge([{ id: record!.id, outcome: "set_aside", ...VERDICT }], 1);
  const correction = await store.correct(record!.id, { mm: 50 });
  await store.acknowledge([stored(correction.id)], 1);
  expect((await store.recordsOf(uuid(1))).map((local) => local.state)).toEqual(["acknowledged", "set_aside"]);
  await mirror(store, [["fate", record!.id, { fate: "applied", reason: "", message: "", mend: "" }]]);
  expect((await store.recordsOf(uuid(1))).map((local) => local.state)).toEqual(["acknowledged", "acknowledged"]);
  expect(store.setAside.value).toEqual([]);
  expect(await store.letGo(KEPT + 2)).toBe(2);
});

test("records around one that is set aside are let go, and it is let go when it is settled", async () => {
  const [a, b, c] = await store.capture([soil(1), soil(2), soil(3)]);
  await store.acknowledge([stored(a!.id), { id: b!.id, outcome: "set_aside", ...VERDICT }, stored(c!.id)], 1);
  await mirror(store, [treeRow(1)]);
  expect(await store.letGo(KEPT + 2)).toBe(2);
  expect(await store.held()).toEqual([b!.id]);
  expect(store.waiting.value).toBe(0);
  await mirror(store, [["fate", b!.id, { fate: "withdrawn", reason: "", message: "", mend: "" }]], 2);
  expect(await store.letGo(KEPT + 2)).toBe(1);
  expect(await store.held()).toEqual([]);
  const [next] = await store.capture([soil(4)]);
  expect(await store.outbox()).toEqual([next]);
});

test("two tabs that hear of one push each, and record meanwhile, agree on what waits", async () => {
  const other = await newStore("two-tabs");
  const tab = await newStore("two-tabs");
  const [a, b, c] = await tab.capture([soil(1), soil(2), soil(3)]);
  const [, , [d]] = await Promise.all([
    tab.acknowledge([stored(a!.id), stored(b!.id)], 1, "e1", [a!, b!]),
    other.acknowledge([{ ...stored(b!.id), outcome: "duplicate" }, { id: c!.id, outcome: "set_aside", ...VERDICT }], 1),
    other.capture([soil(4)]),
  ]);
  await Promise.all([tab.refresh(), other.refresh()]);
  expect([tab.waiting.value, other.waiting.value]).toEqual([1, 1]);
  expect(await tab.outbox()).toEqual([d]);
  expect(tab.setAside.value.map((local) => local.record)).toEqual([c]);
  tab.close();
  other.close();
});

test("what is laid on with each tap is what a fold of all of them makes", async () => {
  const other = uuid(9002);
  await mirror(store, [benchRow(), benchRow(other, "North bench"), treeRow(1)]);
  await store.capture([soil(1, "wet"), { kind: "tree_move", tree: uuid(1), body: { bench: other, row: 1, place: 2 } }]);
  await store.capture([{ kind: "tree_tag", tree: uuid(1), body: { tag: "Old pine" } }, soil(1, "dry")]);
  const [note] = await store.capture([{ kind: "note", tree: uuid(1), body: { text: "x" } }]);
  await store.capture([{ kind: "tree_move", tree: uuid(1), body: { bench: null } }]);
  const laid = await store.tree(uuid(1));
  expect(await store.treesOf(other)).toEqual([]);
  await store.undo(note!.id);
  const { note: _note, ...fresh } = laid!.fresh;
  expect(await store.tree(uuid(1))).toEqual({ ...laid, fresh });
});

test("a standing is kept as text and read as it was told; a row that an older app kept is read as well", async () => {
  const mine = await newStore("as-text");
  const told = { ...standing(["wire", "soil"]), last: { wire: ["snug", "2026-05-23"] as [string, string] } };
  await mirror(mine, [benchRow(), treeRow(1, { st: told }), treeRow(2, { st: told }), treeRow(3)]);
  const db = new Tables("as-text");
  const rows = await db.trees.orderBy("id").toArray();
  expect(rows.map(({ st, told: text, owes }) => [st, text && JSON.parse(text), owes])).toEqual([
    [null, told, 1], [null, told, 1], [null, undefined, 0],
  ]);
  const { told: _text, ...row } = rows[1]!;
  await db.trees.put({ ...row, st: told });
  expect((await mine.treesOf(BENCH)).map((tree) => tree.st)).toEqual([told, told, null]);
  await mine.capture([soil(2)]);
  expect((await mine.treesBy([uuid(2)])).map(({ st, fresh }) => [st, fresh.soil?.state])).toEqual([[told, "dry"]]);
  expect((await mine.benchCounts()).get(BENCH)).toEqual({ trees: 3, due: 2, whats: { wire: 2, soil: 1 }, bitten: 0 });
  db.close();
  mine.close();
});

test("a bench of thousands is read in portions, and none of its trees is missed or doubled", async () => {
  const mine = await newStore("portions");
  const trees = Array.from({ length: 1203 }, (_, n) => treeRow(n + 1, { row: Math.floor(n / 50) + 1, place: (n % 50) + 1 }));
  // Two on the place where the first portion ends.
  trees[500] = treeRow(501, { row: 10, place: 50 });
  await mirror(mine, [benchRow(), ...trees]);
  const read = vi.spyOn(IDBIndex.prototype, "getAll");
  const breaths: number[] = [];
  const breath = () => Promise.resolve(void breaths.push(read.mock.calls.length));
  const ids = (await mine.treesOf(BENCH, breath)).map((tree) => tree.id);
  expect([...new Set(ids)].sort()).toEqual(Array.from({ length: 1203 }, (_, n) => uuid(n + 1)));
  expect(ids).toHaveLength(1203);
  const counts = read.mock.calls.map(([asked, most]) => most ?? (asked as { count?: number } | undefined)?.count);
  expect(counts).toEqual([250, 250, 250, 250, 250]);
  expect(breaths).toEqual([1, 2, 3, 4, 5]);

  await mirror(mine, [treeRow(7, { row: null, place: null })], 2);
  expect((await mine.treesOf(BENCH)).map((tree) => tree.id)).toHaveLength(1203);
  expect((await mine.treesOf(BENCH)).at(-1)?.id).toBe(uuid(7));
  mine.close();
});

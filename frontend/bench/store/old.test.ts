// @vitest-environment node
// A phone whose records stand in the first layout, as it was shipped.
import { Dexie } from "dexie";
import { expect, test, vi } from "vitest";
import { openStore, openUncounted } from "./open";
import type { RecordOut } from "../model/types";
import { mirror, soil, stored, treeRow, uuid } from "../testing/rows";
import { VERSIONS, type OldRecord } from "./schema";

const FIRST = VERSIONS.slice(0, 1);
const NOTHING = { reason: "", field: "", message: "", mend: "" };
const VERDICT = { reason: "unknown_tree", field: "tree", message: "No such tree.", mend: "Record the tree." };

function record(n: number, more: Partial<RecordOut> = {}): RecordOut {
  return {
    id: uuid(100 + n), device_seq: n, kind: "soil_check", v: 1, tree: uuid(n), run: null,
    observed_at: "2026-06-01T08:15:00.000Z", utc_offset_min: 60, hlc: `00176410000000${n}-0000`, body: { state: "dry" }, ...more,
  };
}

function row(n: number, more: Partial<OldRecord> = {}): OldRecord & { tree: string } {
  return { id: uuid(100 + n), seq: n, state: "waiting", unseen: 1, tree: uuid(n), record: record(n), ...NOTHING, ...more };
}

/** Write as the first app did. */
async function oldPhone(name: string, rows: OldRecord[], meta: Record<string, unknown>): Promise<void> {
  const db = new Dexie(name);
  db.version(1).stores(FIRST[0]!.tables as Record<string, string>);
  await db.table("records").bulkPut(rows);
  const view = { tree: uuid(1), isNew: false, patch: {}, fresh: {} };
  await db.table("local").bulkPut(rows.filter((one) => one.unseen).map((one) => ({ ...view, tree: one.record.tree })));
  await db.table("meta").bulkPut(Object.entries(meta).map(([key, value]) => ({ key, value })));
  db.close();
}

const acknowledged = { state: "acknowledged", ackedAt: 1000, unseen: 0 } as const;

test("all that a phone held in the first layout is held in this one, as it stood", async () => {
  await oldPhone("first", [
    row(1, acknowledged), row(2, { ...VERDICT, state: "set_aside", ackedAt: 1000, unseen: 0 }), row(3, { ...acknowledged, unseen: 1 }),
    row(4), row(5), row(6),
  ], {
    seq: 6, clock: { ms: 1764100000009, count: 3 }, acked_epoch: "e1",
    "acked:00000000": { results: [stored(uuid(105)), { id: uuid(106), outcome: "set_aside", ...VERDICT }], at: 2000 },
  });
  const store = await openStore("first");
  expect(await store.outbox()).toEqual([record(4)]);
  expect(store.waiting.value).toBe(1);
  expect(store.setAside.value.map((local) => [local.record, local.field])).toEqual([[record(2), "tree"], [record(6), "tree"]]);
  expect(await store.held()).toEqual([1, 2, 3, 5, 6].map((n) => uuid(100 + n)));
  const states = await Promise.all([1, 2, 3, 4].map(async (n) => (await store.recordsOf(uuid(n)))[0]!.state));
  expect(states).toEqual(["acknowledged", "set_aside", "acknowledged", "waiting"]);
  await mirror(store, [1, 3, 4, 5].map((n) => treeRow(n)));
  // Seen by now; but the one that waits is still fresh.
  const fresh = await Promise.all([1, 3, 4, 5].map(async (n) => (await store.tree(uuid(n)))!.fresh.soil?.state));
  expect(fresh).toEqual([undefined, undefined, "dry", undefined]);
  const month = 30 * 24 * 3600_000;
  expect(await store.letGo(month + 2001)).toBe(3);
  expect(await store.held()).toEqual([uuid(102), uuid(106)]);
  const [next] = await store.capture([soil(1)]);
  expect(next!.device_seq).toBe(7);
  expect(next!.hlc > "001764100000009-0003").toBe(true);
  store.close();
});

test("a phone killed while it moves goes on at the next opening", async () => {
  const rows = Array.from({ length: 2500 }, (_, n) => row(n + 1, { record: record(n + 1), ...(n < 1200 ? acknowledged : {}) }));
  await oldPhone("killed-moving", rows, { seq: 2500 });
  // The second lot fails half way: its records were written, and not yet taken out of the old table.
  let deletions = 0;
  const remove = IDBObjectStore.prototype.delete;
  vi.spyOn(IDBObjectStore.prototype, "delete").mockImplementation(function (this: IDBObjectStore, key) {
    if (this.name === "records" && (deletions += 1) > 1500) throw new DOMException("killed", "UnknownError");
    return remove.call(this, key);
  });
  await expect(openStore("killed-moving")).rejects.toMatchObject({ code: "unknown" });
  vi.restoreAllMocks();
  const store = await openStore("killed-moving");
  expect(store.waiting.value).toBe(1300);
  expect((await store.outbox()).map((one) => one.device_seq)).toEqual(Array.from({ length: 1300 }, (_, n) => n + 1201));
  expect(await store.held()).toHaveLength(1200);
  store.close();
});

test("who reads while records are taken over hears that any tree may have changed; where there are none, nobody does", async () => {
  await oldPhone("heard", [row(1), row(2)], { seq: 2 });
  const heard: unknown[] = [];
  for (const opening of [1, 2]) {
    const store = await openUncounted("heard");
    store.onTrees((trees) => heard.push([opening, trees]));
    await store.refresh();
    expect(store.waiting.value).toBe(2);
    store.close();
  }
  expect(heard).toEqual([[1, undefined]]);
});

test("a full phone opens all the same, and takes its records over once there is room", async () => {
  await oldPhone("full-moving", [row(1), row(2, acknowledged)], { seq: 2 });
  const put = IDBObjectStore.prototype.put;
  vi.spyOn(IDBObjectStore.prototype, "put").mockImplementation(function (this: IDBObjectStore, ...row) {
    if (this.name === "log") throw new DOMException("full", "QuotaExceededError");
    return put.apply(this, row);
  });
  const store = await openStore("full-moving");
  expect(store.waiting.value).toBe(1);
  expect(await store.outbox()).toEqual([record(1)]); // of which the file to hand over is made
  await expect(store.undo(uuid(101))).rejects.toMatchObject({ code: "full" });
  vi.restoreAllMocks();
  const undone = await store.undo(uuid(101));
  expect(await store.outbox()).toEqual([record(1), undone]);
  expect(store.waiting.value).toBe(2);
  store.close();
});

test("what an older app writes meanwhile, where the shed was set back, is taken over, now or at the next opening", async () => {
  const now = await openStore("set-back-twice");
  const [first] = await now.capture([soil(1)]);
  await now.acknowledge([stored(first!.id)], 1000);
  const older = async (n: number) => {
    vi.spyOn(console, "warn").mockImplementation(() => {});
    await oldPhone("set-back-twice", [row(n)], { seq: n });
    vi.restoreAllMocks();
  };
  await older(2);
  await now.takeOver();
  expect(await now.outbox()).toEqual([record(2)]);
  expect(now.waiting.value).toBe(1);
  await older(3);
  now.close();
  const again = await openStore("set-back-twice");
  expect(await again.outbox()).toEqual([record(2), record(3)]);
  expect((await again.capture([soil(1)]))[0]!.device_seq).toBe(4);
  again.close();
});

test("a number that was given twice is changed, and neither record is lost", async () => {
  const now = await openStore("twice");
  const [first] = await now.capture([soil(1)]);
  vi.spyOn(console, "warn").mockImplementation(() => {});
  await oldPhone("twice", [row(1)], { seq: 1 });
  await now.takeOver();
  expect(await now.outbox()).toEqual([first, { ...record(1), device_seq: 2 }]);
  expect((await now.capture([soil(1)]))[0]!.device_seq).toBe(3);
  now.close();
});

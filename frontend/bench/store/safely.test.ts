// @vitest-environment node
import { Dexie } from "dexie";
import { expect, test, vi } from "vitest";
import { openStore } from "./open";
import { mirror, newStore, soil, treeRow, uuid } from "../testing/rows";
import { safely } from "./safely";
import { VERSIONS, type Version } from "./schema";
import { Tables } from "./tables";

test("a connection that the browser lost is taken up again, and nothing is doubled", async () => {
  const store = await newStore();
  const lost = Object.assign(new Error("Connection to Indexed Database server lost. Refresh the page to try again"), {
    name: "UnknownError",
  });
  const put = vi.spyOn(IDBObjectStore.prototype, "put").mockImplementationOnce(() => {
    throw lost;
  });
  const records = await store.capture([soil(1), soil(2)]);
  expect(put).toHaveBeenCalled();
  expect(records.map((record) => record.device_seq)).toEqual([1, 2]);
  expect(await store.outbox()).toEqual(records);
  store.close();
});

test("a capture that landed though its answer was lost is not made twice", async () => {
  const db = new Tables("landed");
  const { capture, named } = await import("./capture");
  const drafts = named([soil(1), soil(2)]);
  let tries = 0;
  const records = await safely(db, async () => {
    const landed = await capture(db, drafts);
    tries += 1;
    if (tries === 1) throw Object.assign(new Error("closing"), { name: "DatabaseClosedError" });
    return landed;
  });
  expect(tries).toBe(2);
  expect(records.map((record) => record.device_seq)).toEqual([1, 2]);
  expect(await db.log.count()).toBe(2);
  db.close();
});

test("a full phone is told so, and nothing is half saved", async () => {
  const store = await newStore();
  await store.capture([soil(1)]);
  vi.spyOn(IDBObjectStore.prototype, "add").mockImplementation(() => {
    throw new DOMException("full", "QuotaExceededError");
  });
  await expect(store.capture([soil(2), soil(3)])).rejects.toMatchObject({
    code: "full",
    message: "Not saved: this phone has no room left.",
    mend: "Delete some photos or apps, then record it again. What was saved before is still there.",
  });
  vi.restoreAllMocks();
  expect(store.waiting.value).toBe(1);
  const [next] = await store.capture([soil(4)]);
  expect(next!.device_seq).toBe(2);
  store.close();
});

/** A later layout, as a future release would add one: a new index, and a field made from old ones. */
const LATER: Version = {
  tables: { log: `${VERSIONS[1]!.tables["log"]}, kind` },
  upgrade: (tx) => tx.table("local").toCollection().modify((row) => (row.checked = true)),
};

test("a year-old phone with waiting records moves to a newer layout with all of them", async () => {
  const old = await newStore("year-old");
  await mirror(old, [treeRow(1)]);
  const records = await old.capture([soil(1), soil(2)]);
  await old.setWalk({ run: uuid(5), bench: uuid(6), tree: null, started_at: "2025-06-01T08:00:00.000Z" });
  old.close();

  const now = await openStore("year-old", [...VERSIONS, LATER]);
  expect(await now.outbox()).toEqual(records);
  expect(now.waiting.value).toBe(2);
  expect((await now.walk())?.run).toBe(uuid(5));
  expect((await now.tree(uuid(1)))?.fresh.soil?.state).toBe("dry");
  expect((await now.capture([soil(3)]))[0]!.device_seq).toBe(3);
  now.close();

  const db = new Dexie("year-old");
  await db.open();
  expect(await db.table("log").where("kind").equals("soil_check").count()).toBe(3);
  expect(await db.table("local").filter((row) => row.checked).count()).toBe(2);
  db.close();
});

test("an app older than its database (a shed set back) opens it and keeps all", async () => {
  const newer = await openStore("set-back", [...VERSIONS, LATER]);
  const [first] = await newer.capture([soil(1)]);
  newer.close();
  vi.spyOn(console, "warn").mockImplementation(() => {});
  const older = await newStore("set-back");
  const [second] = await older.capture([soil(2)]);
  expect(second!.device_seq).toBe(2);
  older.close();
  const again = await openStore("set-back", [...VERSIONS, LATER]);
  expect(await again.outbox()).toEqual([first, second]);
  again.close();
});

test("the database asks for strict durability", async () => {
  const transaction = vi.spyOn(IDBDatabase.prototype, "transaction");
  const store = await newStore();
  await store.capture([soil(1)]);
  const writes = transaction.mock.calls.filter(([, mode]) => mode === "readwrite");
  expect(writes.length).toBeGreaterThan(0);
  for (const [, , options] of writes) expect(options).toEqual({ durability: "strict" });
  store.close();
});

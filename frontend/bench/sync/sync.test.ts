// @vitest-environment node
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import type { Sync } from ".";
import type { MishoStore } from "../store";
import { BENCH, benchRow, newStore, soil, treeRow, uuid } from "../testing/rows";
import { json, refuse, Shed } from "../testing/shed";
import { makeSync } from "./sync";

let store: MishoStore;
let shed: Shed;
let sync: Sync;

beforeEach(async () => {
  store = await newStore();
  shed = new Shed();
  shed.publish(benchRow(), treeRow(1), treeRow(2));
  sync = makeSync(store, shed.fetch, undefined);
  await store.setMe({ device: "d1", name: "phone", role: "helper", epoch: "e1" });
});
afterEach(() => store.close());

const lostAnswer = async (_call: unknown, answer: () => Response) => {
  answer();
  throw new TypeError("network");
};
const away = () => Promise.reject(new TypeError("network"));
const ids = (records: { id: string }[]) => records.map((record) => record.id);

test("a round hands over oldest first, fetches, and says so", async () => {
  const first = await store.capture([soil(1), soil(2)]);
  const second = await store.capture([soil(1, "wet")]);
  expect(await sync.syncNow()).toMatchObject({ state: "done", pushed: 3, setAside: 0 });
  expect(sync.status.value).toMatchObject({ state: "done", pushed: 3 });
  expect(shed.pushes()).toEqual([[...ids(first), ...ids(second)]]);
  expect(store.waiting.value).toBe(0);
  expect((await store.treesOf(BENCH)).map((tree) => [tree.tag, tree.fresh])).toEqual([["K001X", {}], ["K002X", {}]]);
});

test("what the shed said is written when nobody would feel it, and a tap meanwhile is not held up", async () => {
  const waits: (() => void)[] = [];
  let busy = false;
  const breath = () => new Promise<void>((done) => (busy ? waits.push(done) : done()));
  await store.capture([soil(1)]);
  shed.faults = [(_call, answer) => {
    busy = true;
    return Promise.resolve(answer());
  }];
  const round = makeSync(store, shed.fetch, undefined, breath).syncNow();
  await vi.waitFor(() => expect(waits).toHaveLength(1));
  await store.capture([soil(2)]);
  expect([shed.records.size, store.waiting.value]).toEqual([1, 2]);
  waits.splice(0).forEach((go) => go());
  await vi.waitFor(() => expect(store.waiting.value).toBe(1));
  busy = false;
  waits.splice(0).forEach((go) => go());
  expect(await round).toMatchObject({ state: "done", pushed: 2 });
  expect([store.waiting.value, (await store.treesOf(BENCH)).length]).toEqual([0, 2]);
});

test("nothing changed is one short request from the cursor", async () => {
  await sync.syncNow();
  shed.calls = [];
  await sync.syncNow();
  expect(shed.calls.map((call) => [call.method, call.path])).toEqual([["GET", "/api/sync/pull?since=e1%3A3"]]);
});

test("an answer lost after the shed stored the records: they go again, and are held once", async () => {
  const records = await store.capture([soil(1), soil(2)]);
  shed.faults = [lostAnswer];
  expect(await sync.syncNow()).toMatchObject({ state: "failed", code: "away" });
  expect(store.waiting.value).toBe(2);
  expect(await sync.syncNow()).toMatchObject({ state: "done", pushed: 2 });
  expect(shed.pushes()).toEqual([ids(records), ids(records)]);
  expect([...shed.records.keys()]).toEqual(ids(records));
  expect(store.waiting.value).toBe(0);
});

test("1600 records go as 1500 and 100, packed", async () => {
  await store.capture(Array.from({ length: 1600 }, (_, n) => soil(n)));
  expect(await sync.syncNow()).toMatchObject({ state: "done", pushed: 1600 });
  expect(shed.pushes().map((batch) => batch.length)).toEqual([1500, 100]);
  const call = shed.calls[0]!;
  expect(call.headers.get("Content-Encoding")).toBe("gzip");
  expect(call.bytes).toBeLessThan(JSON.stringify(call.body).length / 4);
});

test("a push is never more than 512 KB", async () => {
  const text = "ä".repeat(2000);
  await store.capture(Array.from({ length: 200 }, (_, n) => ({ kind: "note" as const, tree: uuid(n), body: { text } })));
  expect(await sync.syncNow()).toMatchObject({ state: "done", pushed: 200 });
  const bytes = shed.calls
    .filter((call) => call.path === "/api/sync/push")
    .map((call) => new TextEncoder().encode(JSON.stringify(call.body)).length);
  expect(bytes.length).toBe(2);
  expect(Math.max(...bytes)).toBeLessThanOrEqual(512 * 1024);
});

test("413 halves the batch, and the way up again is open", async () => {
  await store.capture(Array.from({ length: 8 }, (_, n) => soil(n)));
  const large = () => new Response("too large", { status: 413 });
  shed.faults = [large, large];
  expect(await sync.syncNow()).toMatchObject({ state: "done", pushed: 8 });
  expect(shed.pushes().map((batch) => batch.length)).toEqual([8, 4, 2, 4, 2]);
});

test("one record that never gets through waits, and holds up no other", async () => {
  const [bad, ...rest] = await store.capture([soil(1), soil(2), soil(3), soil(4)]);
  shed.always = (call, answer) => {
    const { records } = (call.body ?? { records: [] }) as { records: { id: string }[] };
    return records.some((record) => record.id === bad!.id) ? refuse(400, "bad_value", "records[0].hlc is no stamp.") : answer();
  };
  expect(await sync.syncNow()).toMatchObject({
    state: "failed",
    code: "bad_value",
    message: "1 record was not taken by the shed, and kept here: records[0].hlc is no stamp.",
    mend: "Hand the waiting records over as a file.",
  });
  expect(await store.outbox()).toEqual([bad]);
  expect([...shed.records.keys()].sort()).toEqual(ids(rest).sort());
});

test("what the shed set aside is counted and shown", async () => {
  await store.capture([soil(1), { kind: "caliper", tree: uuid(1), body: { mm: 5000 } }]);
  expect(await sync.syncNow()).toMatchObject({ state: "done", pushed: 2, setAside: 1 });
  expect(store.setAside.value.map((local) => [local.reason, local.mend])).toEqual([["bad_value", "Measure again."]]);
});

test("401 asks for a pairing; capture goes on; the same records are handed over after it", async () => {
  const [before] = await store.capture([soil(1)]);
  shed.paired = false;
  expect(await sync.syncNow()).toMatchObject({ state: "needs_pairing" });
  const [after] = await store.capture([soil(2)]);
  expect(await sync.pair("wrong", "")).toEqual({
    ok: false, code: "forbidden", message: "This code is not known.", mend: "Ask for a new one at the shed.",
  });
  expect(await sync.pair(" 7KQ4-M2XD ", "bench phone")).toEqual({
    ok: true, me: { device: "d2", name: "bench phone", role: "helper", epoch: "e1" },
  });
  await sync.syncNow();
  expect([...shed.records.keys()]).toEqual([before!.id, after!.id]);
});

test("a phone that was never paired asks nothing of the network", async () => {
  const fresh = await newStore();
  await fresh.capture([soil(1)]);
  expect(await makeSync(fresh, shed.fetch, undefined).syncNow()).toMatchObject({ state: "needs_pairing" });
  expect(shed.calls).toEqual([]);
  fresh.close();
});

test("a viewer's phone is told what is new, and that its records were not taken", async () => {
  shed.role = "viewer";
  await store.capture([soil(1)]);
  expect(await sync.syncNow()).toMatchObject({ state: "failed", code: "forbidden", mend: "Ask the owner." });
  expect((await store.me())?.role).toBe("viewer");
  expect(await store.treesOf(BENCH)).toHaveLength(2);
  expect(store.waiting.value).toBe(1);
});

const html = (status: number) => () => {
  return new Response("<html>Sign in</html>", { status, headers: { "Content-Type": "text/html" } });
};
test.each([
  ["a sign-in page with 200", html(200), "not_the_shed"],
  ["a proxy's own 401", html(401), "not_the_shed"],
  ["a proxy's own 403", html(403), "not_the_shed"],
  ["JSON of another shape", () => json({ ok: true }), "not_the_shed"],
  ["results that are no results", () => json({ results: [{ id: 1 }], server_time: "x" }), "not_the_shed"],
  ["an answer about other records", () => json({ results: [], server_time: "2026-06-01T00:00:00Z" }), "no_word"],
  ["a body cut off", () => new Response('{"results":[{"id"', { headers: { "Content-Type": "application/json" } }), "cut_off"],
  ["a copy that a proxy changed", (_call: unknown, answer: () => Response) => new Response(answer().body, {
    status: 203, headers: { "Content-Type": "application/json" },
  }), "not_the_shed"],
  ["204", () => new Response(null, { status: 204 }), "not_the_shed"],
  ["500 without words", html(500), "server"],
  ["426", () => refuse(426, "update_app"), "update_app"],
  ["no network", away, "away"],
])("%s is no acknowledgement", async (_name, fault, code) => {
  await store.capture([soil(1)]);
  shed.faults = [fault];
  expect(await sync.syncNow()).toMatchObject({ state: "failed", code });
  expect(store.waiting.value).toBe(1);
  expect(await sync.syncNow()).toMatchObject({ state: "done", pushed: 1 });
});

test.each([["7", 7000], ["Thu, 01 Jan 2026 00:00:30 GMT", 30_000]])("Retry-After %s is kept to", async (header, ms) => {
  vi.spyOn(Date, "now").mockReturnValue(Date.parse("2026-01-01T00:00:00Z"));
  shed.faults = [() => refuse(503, "busy", "Busy.", "", { "Retry-After": header })];
  expect(await sync.syncNow()).toMatchObject({ state: "failed", code: "busy", retryAt: Date.now() + ms });
});

test("a page that fails half way is fetched again from the last cursor", async () => {
  shed.pageSize = 1;
  shed.faults = [undefined, undefined, away];
  expect(await sync.syncNow()).toMatchObject({ state: "failed" });
  expect(await store.cursor()).toEqual({ epoch: "e1", seq: 2 });
  await sync.syncNow();
  expect(shed.calls.at(-1)!.path).toBe("/api/sync/pull?since=e1%3A2");
  expect(await store.treesOf(BENCH)).toHaveLength(2);
});

test("a shed restored from last night's backup gets today back", async () => {
  const [kept, lost] = await store.capture([soil(1), soil(2)]);
  await sync.syncNow();
  const waiting = await store.capture([soil(2, "wet")]);
  shed.epoch = "e2";
  shed.records = new Map([[kept!.id, kept!]]);
  shed.feed = [benchRow(), treeRow(1), treeRow(2, { tag: "OLD" })];
  shed.pageSize = 2;
  expect(await sync.syncNow()).toMatchObject({ state: "done", pushed: 2 });
  expect([...shed.records.keys()]).toEqual([kept!.id, ...ids(waiting), lost!.id]);
  expect(shed.records.get(lost!.id)).toEqual(lost);
  expect((await store.treesOf(BENCH)).map((tree) => tree.tag)).toEqual(["K001X", "OLD"]);
  expect(await store.me()).toMatchObject({ epoch: "e2" });
  expect(await store.offerDue()).toBe(false);
});

test("what was acknowledged before the first fetch ever got through is offered to a restored shed too", async () => {
  const [lost] = await store.capture([soil(1)]);
  // Handed over; the fetch comes to nothing, so there is no cursor to tell the epoch by.
  shed.faults = [undefined, away];
  expect(await sync.syncNow()).toMatchObject({ state: "failed", code: "away" });
  expect(store.waiting.value).toBe(0);
  shed.epoch = "e2";
  shed.records.clear();
  expect(await sync.syncNow()).toMatchObject({ state: "done", pushed: 1 });
  expect([...shed.records.values()]).toEqual([lost]);
  shed.calls = [];
  await sync.syncNow();
  expect(shed.calls.map((call) => call.method)).toEqual(["GET"]);
});

test("what the shed set aside, and restored does not, is shown as set aside no more", async () => {
  const [mine] = await store.capture([soil(1)]);
  await sync.syncNow();
  shed.publish(["fate", mine!.id, { fate: "set_aside", reason: "unknown_tree", message: "No tree.", mend: "" }]);
  await sync.syncNow();
  expect(store.setAside.value).toHaveLength(1);
  shed.epoch = "e2";
  shed.feed = [benchRow(), treeRow(1)];
  await sync.syncNow();
  expect(store.setAside.value).toEqual([]);
});

test("a connection lost while starting over leaves the bench and the outbox as they were", async () => {
  await sync.syncNow();
  await store.capture([soil(1)]);
  shed.epoch = "e2";
  shed.pageSize = 1;
  // push, refused pull, first page of the new feed, then nothing.
  shed.faults = [undefined, undefined, undefined, away];
  expect(await sync.syncNow()).toMatchObject({ state: "failed", code: "away" });
  expect(await store.treesOf(BENCH)).toHaveLength(2);
  expect(await store.cursor()).toEqual({ epoch: "e1", seq: 3 });
  expect(await store.offerDue()).toBe(false);
});

test("the offer after a restore is made though the app was killed before it", async () => {
  const [lost] = await store.capture([soil(1)]);
  await sync.syncNow();
  shed.epoch = "e2";
  shed.records.clear();
  // refused pull, the feed anew, then the question that is never answered.
  shed.faults = [undefined, undefined, away];
  expect(await sync.syncNow()).toMatchObject({ state: "failed" });
  expect(shed.records.size).toBe(0);
  await makeSync(store, shed.fetch, undefined).syncNow();
  expect([...shed.records.keys()]).toEqual([lost!.id]);
});

test("the shed's clock corrects the stamp of the next record", async () => {
  vi.spyOn(Date, "now").mockReturnValue(1_764_100_000_000);
  shed.ahead = 90_000;
  await sync.syncNow();
  const [record] = await store.capture([soil(1)]);
  expect(record!.hlc).toBe("001764100090000-0000");
  expect(record!.observed_at).toBe("2025-11-25T19:46:40.000Z");
});

test("two calls at once are one round", async () => {
  await store.capture([soil(1)]);
  await Promise.all([sync.syncNow(), sync.syncNow()]);
  expect(shed.pushes()).toHaveLength(1);
});

test("a tab that does not get the lock leaves the network alone", async () => {
  const taken = { request: (_name: string, _options: LockOptions, work: LockGrantedCallback<unknown>) => work(null) };
  const second = makeSync(store, shed.fetch, taken as unknown as LockManager);
  expect(await second.syncNow()).toEqual({ state: "elsewhere" });
  expect(second.status.value).toEqual({ state: "idle" });
  expect(shed.calls).toEqual([]);
});

test("records are kept 30 days after their acknowledgement by the shed's clock", async () => {
  vi.spyOn(Date, "now").mockReturnValue(Date.parse("2026-06-01T00:00:00Z"));
  const [record] = await store.capture([soil(1)]);
  await sync.syncNow();
  shed.ahead = 30 * 86_400_000;
  await sync.syncNow();
  expect(await store.held()).toEqual([record!.id]);
  shed.ahead += 1000;
  await sync.syncNow();
  expect(await store.held()).toEqual([]);
});

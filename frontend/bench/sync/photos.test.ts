// @vitest-environment node
import { afterEach, beforeEach, expect, test } from "vitest";
import { hex, picture } from "../testing/pictures";
import { newStore, soil, uuid } from "../testing/rows";
import { json, refuse, Shed } from "../testing/shed";
import type { MishoStore } from "../store";
import { makeSync } from ".";
import { LEAST_PIECE, PIECE } from "./photos";

let store: MishoStore;
let shed: Shed;
const sync = () => makeSync(store, shed.fetch, undefined).syncNow();
const puts = () => shed.calls.filter((call) => call.method === "PUT");
const offsets = () => puts().map((call) => Number(new URL(call.path, "http://shed").searchParams.get("offset")));

beforeEach(async () => {
  shed = new Shed();
  store = await newStore();
  await store.setMe({ device: "d1", name: "phone", role: "helper", epoch: "e1" });
});
afterEach(() => store.close());

test("pictures go after the records, in pieces, and leave the queue when the shed has them whole", async () => {
  await store.capture([await picture(1, PIECE * 2 + 10), soil(1)]);
  expect(await sync()).toMatchObject({ state: "done", pushed: 2, photos: 1 });
  expect(shed.calls.map((call) => call.path.split("?")[0])).toEqual([
    "/api/sync/push", "/api/sync/pull", ...Array(3).fill(`/api/photos/${uuid(5001)}`),
  ]);
  expect(offsets()).toEqual([0, PIECE, PIECE * 2]);
  const sent = await hex(shed.pictures.get(uuid(5001))!);
  expect(sent).toBe(await hex((await store.photos.data(uuid(5001)))!));
  expect(store.photos.waiting.value).toBe(0);
  await sync();
  expect(puts()).toHaveLength(3);
});

test("a way that breaks costs one piece: the next round goes on where the shed is", async () => {
  await store.capture([await picture(1, PIECE * 3)]);
  let left = 2;
  shed.always = (call, answer) => {
    if (call.method === "PUT" && left-- <= 0) throw new TypeError("network");
    return answer();
  };
  expect(await sync()).toMatchObject({ state: "failed", code: "away" });
  expect(store.photos.waiting.value).toBe(1);
  shed.always = undefined;
  expect(await sync()).toMatchObject({ state: "done", photos: 1 });
  expect(offsets()).toEqual([0, PIECE, PIECE * 2, 0, PIECE * 2]);
});

test("a lost last answer sends the picture no second time", async () => {
  await store.capture([await picture(1)]);
  shed.always = (call, answer) => {
    const done = answer();
    if (call.method === "PUT") throw new TypeError("network");
    return done;
  };
  expect(await sync()).toMatchObject({ state: "failed" });
  shed.always = undefined;
  expect(await sync()).toMatchObject({ state: "done", photos: 1 });
  expect(shed.pictures.size).toBe(1);
});

test("what answers in the shed's place keeps no picture", async () => {
  await store.capture([await picture(1)]);
  for (const answer of [
    json({ state: "kept" }), json({ photo: uuid(7), state: "kept", have: 1, server_time: "x", epoch: "e" }),
    new Response("<html>", { status: 200, headers: { "Content-Type": "text/html" } }),
  ]) {
    shed.always = (call, real) => (call.method === "PUT" ? answer.clone() : real());
    expect(await sync()).toMatchObject({ state: "failed", code: "not_the_shed" });
    expect(store.photos.waiting.value).toBe(1);
  }
});

test("what the shed refuses stays here with its reason, and holds up none behind it", async () => {
  await store.capture([await picture(1, 1000, 0x3c), await picture(2)]);
  expect(await sync()).toMatchObject({ state: "done", photos: 1 });
  expect(store.photos.refused.value.map((photo) => [photo.id, photo.message, photo.mend])).toEqual([
    [uuid(5001), "This file is no picture.", "Take it again."],
  ]);
  expect((await store.photos.data(uuid(5001)))?.byteLength).toBe(1000);
});

test("a picture whose id is taken is refused, not sent for ever", async () => {
  await store.capture([await picture(1)]);
  shed.always = (call, answer) => (call.method === "PUT" ? refuse(409, "id_reused", "Another picture.") : answer());
  expect(await sync()).toMatchObject({ state: "done" });
  expect(store.photos.refused.value.map((photo) => photo.message)).toEqual(["Another picture."]);
});

test("a narrow way is tried with smaller pieces", async () => {
  await store.capture([await picture(1, PIECE)]);
  shed.always = (call, answer) =>
    call.method === "PUT" && call.bytes > 2 * LEAST_PIECE ? refuse(413, "too_large") : answer();
  expect(await sync()).toMatchObject({ state: "done", photos: 1 });
  expect(Math.max(...puts().slice(3).map((call) => call.bytes))).toBe(2 * LEAST_PIECE);
});

test("a full shed is told, and the pictures wait while records go", async () => {
  await store.capture([await picture(1), soil(1)]);
  shed.always = (call, answer) =>
    call.method === "PUT" ? refuse(503, "no_room", "The shed's disk is nearly full.", "Make room.") : answer();
  expect(await sync()).toMatchObject({ state: "failed", code: "no_room", message: "The shed's disk is nearly full." });
  expect(store.waiting.value).toBe(0);
  expect(store.photos.waiting.value).toBe(1);
});

test("a shed that knows no pictures yet does not fail the round", async () => {
  await store.capture([await picture(1), soil(1)]);
  shed.always = (call, answer) => (call.method === "PUT" ? refuse(404, "not_found") : answer());
  expect(await sync()).toMatchObject({ state: "done", pushed: 2 });
  expect(store.photos.waiting.value).toBe(1);
});

test("a shed restored from yesterday's backup gets today's pictures back", async () => {
  await store.capture([await picture(1)]);
  await sync();
  shed.pictures.clear();
  shed.parts.clear();
  shed.records.clear();
  shed.epoch = "e2";
  shed.feed = [];
  expect(await sync()).toMatchObject({ state: "done", photos: 1 });
  expect([...shed.pictures.keys()]).toEqual([uuid(5001)]);
});

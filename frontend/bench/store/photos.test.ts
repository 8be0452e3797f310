// @vitest-environment node
import { afterEach, beforeEach, expect, test } from "vitest";
import { picture } from "../testing/pictures";
import { newStore, soil, uuid } from "../testing/rows";
import type { MishoStore } from ".";
import { makePhotos, PHOTOS_KEPT, RESERVE, roomOf } from "./photos";
import { VERSIONS } from "./schema";
import { Tables } from "./tables";

const MB = 1024 * 1024;
let store: MishoStore;
beforeEach(async () => {
  store = await newStore();
});
afterEach(() => store.close());

test("a picture and its record are saved together, and the record carries no bytes", async () => {
  const [record] = await store.capture([await picture(1)]);
  expect(record!.body).not.toHaveProperty("file");
  expect(JSON.stringify(await store.outbox())).not.toContain("file");
  expect(store.photos.waiting.value).toBe(1);
  expect(await store.photos.of(uuid(1))).toMatchObject([
    { id: uuid(5001), record: record!.id, state: "waiting", bytes: 1000, width: 40, height: 30 },
  ]);
  expect((await store.photos.data(uuid(5001)))!.byteLength).toBe(1000);
});

test("a picture that cannot be kept leaves no record either", async () => {
  await store.capture([await picture(1)]);
  // The same picture under another record: the second capture fails as a whole.
  await expect(store.capture([soil(1), await picture(1)])).rejects.toMatchObject({ name: "StoreError" });
  expect(await store.outbox()).toHaveLength(1);
  expect(store.photos.waiting.value).toBe(1);
});

test("a killed app finds its pictures again, in the order they were taken", async () => {
  const first = await newStore("killed-with-pictures");
  await first.capture([await picture(2)]);
  await first.capture([await picture(1)]);
  const again = await newStore("killed-with-pictures");
  expect(again.photos.waiting.value).toBe(2);
  expect((await again.photos.queue()).map((photo) => photo.id)).toEqual([uuid(5002), uuid(5001)]);
  first.close();
  again.close();
});

test("an acknowledged record does not let its picture go; only the shed's word about the picture does", async () => {
  const [record] = await store.capture([await picture(1)]);
  await store.acknowledge([{ id: record!.id, outcome: "stored", reason: "", field: "", message: "", mend: "" }], 1);
  expect(store.photos.waiting.value).toBe(1);
  await store.photos.kept(uuid(5001), 1000, "e1");
  expect(store.photos.waiting.value).toBe(0);
  // Kept for a week of the shed's time, for a shed that is restored from a backup.
  await store.photos.letGo(1000 + PHOTOS_KEPT);
  expect((await store.photos.data(uuid(5001)))?.byteLength).toBe(1000);
  await store.photos.letGo(1001 + PHOTOS_KEPT);
  expect(await store.photos.data(uuid(5001))).toBeUndefined();
  expect(await store.photos.of(uuid(1))).toEqual([]);
});

test("pictures handed to a shed of another epoch wait again", async () => {
  await store.capture([await picture(1), await picture(2)]);
  await store.photos.kept(uuid(5001), 1000, "e1");
  await store.photos.offerAgain("e1");
  expect(store.photos.waiting.value).toBe(1);
  await store.photos.offerAgain("e2");
  expect(store.photos.waiting.value).toBe(2);
  await store.photos.letGo(1e15);
  expect((await store.photos.data(uuid(5001)))?.byteLength).toBe(1000);
});

test("a refused picture stays until it is deleted here, and one that waits cannot be deleted", async () => {
  await store.capture([await picture(1), await picture(2)]);
  await store.photos.refuse(uuid(5001), "This file is no picture.", "Take it again.");
  expect(store.photos.refused.value.map((photo) => [photo.id, photo.message])).toEqual([
    [uuid(5001), "This file is no picture."],
  ]);
  await store.photos.drop(uuid(5002));
  await store.photos.drop(uuid(5001));
  expect(store.photos.refused.value).toEqual([]);
  expect(store.photos.waiting.value).toBe(1);
  expect(await store.photos.data(uuid(5001))).toBeUndefined();
});

test.each([
  [undefined, { state: "enough", photos: undefined, free: undefined }],
  [{ usage: 0, quota: RESERVE + 700 * MB }, { state: "enough", photos: 1024, free: RESERVE + 700 * MB }],
  [{ usage: 10 * MB, quota: RESERVE + 17 * MB }, { state: "short", photos: 10, free: RESERVE + 7 * MB }],
  [{ usage: 100 * MB, quota: 100 * MB + RESERVE }, { state: "full", photos: 0, free: RESERVE }],
  [{ usage: 200 * MB, quota: 100 * MB }, { state: "full", photos: 0, free: 0 }],
] as const)("room is told before it ends, and some is left for records: %o", (estimate, room) => {
  expect(roomOf(estimate)).toEqual(room);
});

test("where room is short, pictures that the shed has go first, and none that waits", async () => {
  await store.capture([await picture(1), await picture(2)]);
  await store.photos.kept(uuid(5001), 1000, "e1");
  store.close();
  const db = new Tables("short");
  await db.open();
  await db.photos.bulkAdd([
    { id: "a", seq: 1, record: "", tree: "t", state: "kept", keptAt: 5, epoch: "e", sha256: "", bytes: 9, width: 1, height: 1, takenAt: "", message: "", mend: "" },
    { id: "b", seq: 2, record: "", tree: "t", state: "waiting", sha256: "", bytes: 9, width: 1, height: 1, takenAt: "", message: "", mend: "" },
  ]);
  await db.photoData.bulkAdd([{ id: "a", data: new ArrayBuffer(9) }, { id: "b", data: new ArrayBuffer(9) }]);
  let asked = 0;
  const usage = async () => ({ usage: 100 * MB - asked++ * 70 * MB, quota: 100 * MB + 50 * MB });
  const photos = makePhotos(db, (work) => Promise.resolve(work()), () => undefined, usage);
  expect(await photos.room()).toMatchObject({ state: "enough", photos: 87 });
  expect(await db.photoData.toCollection().primaryKeys()).toEqual(["b"]);
  db.close();
  store = await newStore();
});

test("a phone from before there were pictures keeps what waits, and can take some", async () => {
  const before = VERSIONS.findIndex((version) => "photos" in version.tables);
  const { openStore } = await import("./open");
  const old = new Tables("before-pictures", VERSIONS.slice(0, before));
  await old.open();
  old.close();
  const now = await openStore("before-pictures");
  await now.capture([await picture(1)]);
  expect(now.photos.waiting.value).toBe(1);
  now.close();
});

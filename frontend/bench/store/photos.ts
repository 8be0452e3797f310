// Pictures: written with their record in one transaction, kept apart from the records' queue, and let go only when the
// shed has them whole.

import type { ReadonlySignal } from "@preact/signals";
import type { RecordOut } from "../model/types";
import type { StoredPhoto } from "./schema";
import { newPhotoSigns, type PhotoSigns } from "./signs";
import type { Tables } from "./tables";

/** Pictures that the shed has are kept so long, for a shed restored from a backup. [ms] */
export const PHOTOS_KEPT = 7 * 24 * 3600_000;
/** Room that pictures leave for records: a hundred thousand of them. [bytes] */
export const RESERVE = 60 * 1024 * 1024;
/** What a picture takes, about. [bytes] */
const USUAL = 700 * 1024;
/** Fewer pictures than this to go: say so. */
const FEW = 60;

/** `photos`: how many more go on this phone, about; undefined where the browser does not say. */
export interface Room { state: "enough" | "short" | "full"; photos: number | undefined; free: number | undefined }

export function roomOf(estimate: { usage?: number; quota?: number } | undefined): Room {
  const { usage, quota } = estimate ?? {};
  if (usage === undefined || !quota) return { state: "enough", photos: undefined, free: undefined };
  const free = Math.max(0, quota - usage);
  const photos = Math.max(0, Math.floor((free - RESERVE) / USUAL));
  return { state: photos === 0 ? "full" : photos < FEW ? "short" : "enough", photos, free };
}

/** What screens ask about pictures. */
export interface Photos {
  /** Pictures that the shed does not have yet. */
  readonly waiting: ReadonlySignal<number>;
  /** Pictures that the shed would not take, until they are deleted here. */
  readonly refused: ReadonlySignal<StoredPhoto[]>;
  /** This phone's pictures of a tree, the newest first. */
  of(tree: string): Promise<StoredPhoto[]>;
  /** All that wait, the oldest first. */
  queue(): Promise<StoredPhoto[]>;
  data(id: string): Promise<ArrayBuffer | undefined>;
  /** Room for more; where it is short, pictures that the shed has are let go first. */
  room(): Promise<Room>;
  /** Delete a refused picture here; its record stays. */
  drop(id: string): Promise<void>;
}

/** What sync asks about pictures. */
export interface PhotoQueue {
  next(after: number): Promise<StoredPhoto | undefined>;
  /** The shed of this epoch has it whole, for good. */
  kept(id: string, at: number, epoch: string): Promise<void>;
  refuse(id: string, message: string, mend: string): Promise<void>;
  /** Pictures handed to a shed of another epoch wait again: it was restored since, and may lack them. */
  offerAgain(epoch: string): Promise<void>;
  /** Let go of what the shed has had for a week, by its own clock. */
  letGo(now: number): Promise<void>;
  recount(): Promise<void>;
}

/** Inside a capture's transaction: the pictures that come with its records. */
export async function putPhotos(
  db: Tables, records: readonly RecordOut[], files: ReadonlyMap<string, ArrayBuffer>,
): Promise<void> {
  for (const record of records) {
    const data = files.get(record.id);
    if (!data || record.kind !== "photo" || !record.tree) continue;
    const { photo, sha256, bytes, width, height } = (record as RecordOut<"photo">).body;
    await db.photos.add({
      id: photo, seq: record.device_seq, record: record.id, tree: record.tree, state: "waiting",
      sha256, bytes, width, height, takenAt: record.observed_at, message: "", mend: "",
    });
    await db.photoData.add({ id: photo, data });
  }
}

function queued(db: Tables, after = -Infinity) {
  return db.photos.where("[state+seq]").between(["waiting", after], ["waiting", Infinity], false);
}

/** Drop the bytes and the row of pictures that the shed has, the oldest first. */
function forget(db: Tables, ids: readonly string[]): PromiseLike<void> {
  return db.transaction("rw", [db.photos, db.photoData], async () => {
    const kept = (await db.photos.bulkGet([...ids])).filter((row) => row?.state === "kept");
    await db.photoData.bulkDelete(kept.map((row) => row!.id));
    await db.photos.bulkDelete(kept.map((row) => row!.id));
  });
}

function settle(db: Tables, id: string, change: Partial<StoredPhoto>): PromiseLike<void> {
  return db.transaction("rw", [db.photos], async () => {
    const row = await db.photos.get(id);
    if (row?.state === "waiting") await db.photos.put({ ...row, ...change });
  });
}

type Run = <T>(work: () => PromiseLike<T>) => Promise<T>;
type Estimate = () => Promise<{ usage?: number; quota?: number }>;

/** `read` and `changed`: how the store runs a piece of work, and tells that something is new. */
export function makePhotos(
  db: Tables, read: Run, changed: () => void, estimate?: Estimate, { waiting, refused }: PhotoSigns = newPhotoSigns(),
): Photos & PhotoQueue {
  const ask = estimate ?? (async () => (await navigator.storage?.estimate?.()) ?? {});

  async function recount(): Promise<void> {
    const [count, bad] = await read(async () =>
      [await queued(db).count(), await db.photos.where("[state+seq]").between(["refused", -Infinity], ["refused", Infinity]).toArray()] as const,
    );
    waiting.value = count;
    refused.value = bad;
  }
  async function write(work: () => PromiseLike<unknown>): Promise<void> {
    await read(work);
    await recount().catch(() => undefined);
    changed();
  }
  async function room(): Promise<Room> {
    const now = roomOf(await ask().catch(() => undefined));
    if (now.state === "enough") return now;
    const spare = await read(() => db.photos.where("keptAt").above(0).limit(FEW).primaryKeys());
    if (!spare.length) return now;
    await write(() => forget(db, spare));
    return roomOf(await ask().catch(() => undefined));
  }
  return {
    waiting, refused, recount, room,
    of: (tree) => read(async () => (await db.photos.where("tree").equals(tree).sortBy("seq")).reverse()),
    queue: () => read(() => queued(db).toArray()),
    data: (id) => read(async () => (await db.photoData.get(id))?.data),
    drop: (id) =>
      write(() => db.transaction("rw", [db.photos, db.photoData], async () => {
        if ((await db.photos.get(id))?.state !== "refused") return;
        await db.photos.delete(id);
        await db.photoData.delete(id);
      })),
    next: (after) => read(() => queued(db, after).first()),
    kept: (id, at, epoch) => write(() => settle(db, id, { state: "kept", keptAt: at, epoch })),
    refuse: (id, message, mend) => write(() => settle(db, id, { state: "refused", message, mend })),
    offerAgain: async (epoch) => {
      const elsewhere = await read(() => db.photos.where("keptAt").above(0).and((row) => row.epoch !== epoch).primaryKeys());
      if (!elsewhere.length) return;
      await write(() => db.photos.where("id").anyOf(elsewhere).modify((row) => {
        row.state = "waiting";
        delete row.keptAt;
      }));
    },
    letGo: async (now) => {
      const old = await read(() => db.photos.where("keptAt").below(now - PHOTOS_KEPT).primaryKeys());
      if (old.length) await write(() => forget(db, old));
    },
  };
}

// One open store: the tables, and the signals that screens watch.

import type { Draft, Me, RecordOut, WalkState } from "../model/types";
import { NO_BREATH, type Breath } from "./breath";
import type { MishoStore } from "./faces";
import { t } from "../words";
import { StoreError } from "./errors";
import { capture, correction, named } from "./capture";
import { findByEnd } from "./ends";
import * as mirror from "./mirror";
import * as outbox from "./outbox";
import { makePhotos } from "./photos";
import { chorus, type Trees } from "./hearers";
import { keepPlace } from "./place";
import { takeOver } from "./old";
import { asideOf, ofRun, ofTree } from "./runs";
import { plans, planned } from "./plans";
import { learnCounters, quickly } from "./quick";
import { safely } from "./safely";
import { getMeta, setMeta } from "./meta";
import type { Version } from "./schema";
import { newSigns, type Signs } from "./signs";
import { Tables } from "./tables";

/** Open the phone's memory, and count what waits. Rejects with a StoreError that a screen can show. */
export async function openStore(name = "misho", versions?: readonly Version[]): Promise<MishoStore> {
  const store = await openUncounted(name, versions);
  await store.refresh();
  return store;
}

/**
 * The same before anything is counted: `refresh` must follow, but a bench may be read beside it. `breath`: waited for
 * before each counting, for a record must wait until that is done.
 */
export async function openUncounted(
  name = "misho", versions?: readonly Version[], signs: Signs = newSigns(), breath: Breath = NO_BREATH,
): Promise<MishoStore> {
  const db = new Tables(name, versions);
  const opened = safely(db, () => db.open());
  const blocked = new Promise<never>((_, reject) => {
    db.on("blocked", () => {
      reject(new StoreError("blocked", t("Another tab holds an older Misho."), t("Close the other tabs of Misho.")));
    });
  });
  await Promise.race([opened, blocked]);
  return assemble(db, name, signs, breath);
}

/** What an older app left in the first layout. A full phone must open too: it waits there, each handing over tries again. */
async function takeOverIfRoom(db: Tables): Promise<number> {
  try {
    return await safely(db, () => takeOver(db));
  } catch (error) {
    if (!(error instanceof StoreError) || error.code !== "full") throw error;
    return 0;
  }
}

function assemble(db: Tables, name: string, signs: Signs, breath: Breath): MishoStore {
  const { waiting, setAside, version, hearers } = signs;

  // Counts are read beside captures: what was read before a later change must not be shown after it.
  let stale = false;
  let reading: Promise<void> | undefined;

  // Beside the first reads, for mostly there is nothing; who read too early hears of it, and `refresh` waits for it.
  const old = takeOverIfRoom(db).then((taken) => taken && tell(undefined));
  old.catch(() => undefined);

  async function count(): Promise<void> {
    while (stale) {
      stale = false;
      await old;
      await breath();
      // What came until now is counted as well.
      stale = false;
      const counts = await safely(db, async () => {
        return await Promise.all([outbox.waitingCount(db), asideOf(db), photos.recount(), learnCounters(db)]);
      });
      if (!stale) [waiting.value, setAside.value] = counts;
    }
    version.value += 1;
  }
  function refresh(): Promise<void> {
    stale = true;
    reading ??= count().finally(() => {
      reading = undefined;
      return stale ? refresh() : undefined;
    });
    return reading;
  }
  const tabs = chorus(`${name}-changed`, (trees) => {
    db.known.doubt();
    hearers.tell(trees);
    void refresh().catch(() => undefined);
  });
  const tell = (trees: Trees) => {
    hearers.tell(trees);
    tabs.tell(trees);
  };
  const read = <T>(work: () => PromiseLike<T>): Promise<T> => safely(db, work);
  const photos = makePhotos(db, read, () => {
    version.value += 1;
    tabs.tell([]);
  }, undefined, signs.photos);
  async function write<T>(work: () => PromiseLike<T>, trees?: Trees): Promise<T> {
    const done = await safely(db, work);
    // The write has landed: a count that cannot be read just now must not make it look lost.
    await refresh().catch(() => undefined);
    tell(trees);
    return done;
  }
  async function correct(id: string, body: Record<string, unknown> | null): Promise<RecordOut> {
    // What a full phone could not take over when it opened may be the very one.
    await read(() => takeOver(db));
    const [record] = await take([await read(() => correction(db, id, body))]);
    await refresh().catch(() => undefined);
    return record!;
  }

  /** Resolves as soon as the records are on the disk; their number is known without counting all again. */
  async function take(drafts: Draft[], walk?: WalkState): Promise<RecordOut[]> {
    const ready = named(drafts);
    const trees = ready.flatMap((draft) => draft.tree ?? []);
    const records = (await quickly(db, ready, walk)) ?? (await safely(db, () => capture(db, ready, walk)));
    stale = true;
    waiting.value += records.length;
    version.value += 1;
    tell(trees);
    // It may settle what was set aside; where nothing was, there is nothing to count anew while a thumb waits.
    if (setAside.peek().length && ready.some((draft) => draft.kind === "correction")) void refresh().catch(() => undefined);
    if (ready.some((draft) => draft.file)) await photos.recount().catch(() => undefined);
    return records;
  }

  return {
    waiting, setAside, version, refresh, photos,
    ...reads(db, read),
    capture: take,
    undo: (id) => correct(id, null),
    correct,
    onTrees: (hearer) => hearers.add(hearer),
    setWalk: (walk) => read(() => keepPlace(db, walk)),
    setMe: (me) => write(() => setMeta(db, "me", me), []),
    learnOffset: async (ms) => {
      await read(() => setMeta(db, "offset", ms));
      if (db.known.counters) db.known.counters = { ...db.known.counters, offset: ms };
      tabs.tell([]);
    },
    acknowledge: async (results, at, epoch, sent) => {
      const fresh = await safely(db, () => outbox.acknowledge(db, results, at, epoch, sent));
      stale = true;
      waiting.value = Math.max(0, waiting.value - fresh);
      tabs.tell([]);
    },
    takeOver: async () => {
      if (await read(() => takeOver(db))) await write(() => Promise.resolve());
    },
    offerAgain: (ids) => write(() => outbox.offerAgain(db, ids)),
    offerDone: () => read(() => outbox.setOfferDue(db, false)),
    letGo: (now) => write(() => outbox.letGo(db, now), []),
    applyPage: async (page) => {
      const trees = await read(() => mirror.treesIn(db, page));
      return write(() => mirror.applyPage(db, page), trees);
    },
    replaceMirror: (page) => write(() => mirror.replaceMirror(db, page)),
    persist: async () => (await navigator.storage?.persist?.()) ?? false,
    close: () => {
      tabs.close();
      db.close();
    },
  };
}

function reads(db: Tables, read: <T>(work: () => PromiseLike<T>) => Promise<T>) {
  return {
    sites: () => read(() => db.sites.toArray()),
    species: () => read(async () => new Map((await db.species.toArray()).map((row) => [row.slug, row]))),
    lots: () => read(() => db.lots.toArray()),
    benches: () =>
      read(async () => {
        const benches = await db.benches.toArray();
        return benches.sort((a, b) => a.order - b.order || a.name.localeCompare(b.name));
      }),
    treesOf: (bench: string, breath?: Breath) => read(() => mirror.treesOf(db, bench, breath)),
    benchCounts: () => read(() => mirror.benchCounts(db)),
    tree: (id: string) => read(() => mirror.tree(db, id)),
    treesBy: (ids: readonly string[]) => read(() => mirror.treesBy(db, ids)),
    findByTag: (prefix: string) => read(() => mirror.findByTag(db, prefix)),
    findByEnd: (end: string) => read(() => findByEnd(db, end)),
    plans: () => read(() => plans(db)),
    planned: (id: string) => read(() => planned(db, id)),
    recordsOf: (tree: string) => read(() => ofTree(db, tree)),
    recordsOfRun: (run: string) => read(() => ofRun(db, run)),
    outbox: () => read(() => outbox.allWaiting(db)),
    walk: () => read(() => getMeta<WalkState>(db, "walk")),
    me: () => read(() => getMeta<Me>(db, "me")),
    oldest: (count: number, after?: number) => read(() => outbox.oldest(db, count, after)),
    held: () => read(() => outbox.held(db)),
    offerDue: () => read(() => outbox.offerDue(db)),
    cursor: () => read(() => mirror.cursor(db)),
  };
}

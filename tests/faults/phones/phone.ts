// A phone: its storage, its cookie, its clock, and the app's real store and sync code running on it.

import { Dexie } from "dexie";
import type { RecordOut } from "../../../frontend/bench/model/types";
import type { MishoStore } from "../../../frontend/bench/store";
import { openStore } from "../../../frontend/bench/store/open";
import { StoreError } from "../../../frontend/bench/store/errors";
import { acked, setAcked } from "../../../frontend/bench/store/acked";
import { holding } from "../../../frontend/bench/store/ranges";
import { VERSIONS, type OldRecord, type Version } from "../../../frontend/bench/store/schema";
import { Tables } from "../../../frontend/bench/store/tables";
import { makeSync, type Sync, type SyncOutcome } from "../../../frontend/bench/sync";
import type { Fetch } from "../../../frontend/bench/sync/wire";
import { disk, forget, hangUp, Life } from "./life";

/** One open tab of the app. */
export interface Tab { life: Life; store: MishoStore; sync: Sync }

/** What a later version of the app might add: a table, an index, and a change of every row of another. */
const NEWER: Version = {
  tables: { log: `${VERSIONS[1]!.tables["log"]}, hlc`, sketches: "id" },
  upgrade: (tx) => tx.table("aside").toCollection().modify((row: { checked?: boolean }) => void (row.checked = true)),
};

/** Every record that the storage holds, and what became of it, in the words of the first layout. */
export async function rowsOf(db: Tables): Promise<OldRecord[]> {
  const ranges = await acked(db);
  const asides = new Map((await db.aside.toArray()).map((aside) => [aside.seq, aside]));
  return (await db.log.toArray()).map((record): OldRecord => {
    const { id, device_seq: seq } = record;
    const range = holding(ranges, seq);
    const { reason, field, message, mend } = asides.get(seq) ?? { reason: "", field: "", message: "", mend: "" };
    const state = asides.has(seq) ? "set_aside" : range ? "acknowledged" : "waiting";
    const unseen = asides.has(seq) || range?.seen ? 0 : 1;
    const row = { id, seq, state, unseen, record, reason, field, message, mend } satisfies OldRecord;
    return range ? { ...row, ackedAt: range.at } : row;
  });
}

/** Lay the storage out as the first app had it. */
function asFirst(db: Tables): PromiseLike<void> {
  return db.transaction("rw", [db.records, db.log, db.aside, db.meta], async () => {
    await db.records.bulkPut(await rowsOf(db));
    await setAcked(db, []);
    await Promise.all([db.log.clear(), db.aside.clear()]);
  });
}

export class Phone {
  readonly saved = new Map<string, RecordOut>();
  /** Outcomes of captures by key: "saved", or "maybe" where the app was killed or said no. */
  readonly said = new Map<string, "saved" | "maybe">();
  /** Revoked for good: what it holds goes to the shed as a file. */
  out = false;
  tab: Tab | undefined;
  private cookie = "";
  private clock = { offset: 0, backwards: false, since: 0 };
  private versions: readonly Version[] = VERSIONS;
  private holder: Life | undefined;
  private opening: Promise<Tab | undefined> | undefined;

  constructor(readonly name: string, private readonly port: number, private readonly broken: string) {}

  setClock(offset: number, backwards: boolean): void {
    this.clock = { offset, backwards, since: performance.timeOrigin + performance.now() };
  }

  private readonly now = (real: number): number => {
    const { offset, backwards, since } = this.clock;
    return real + offset - (backwards ? 2 * (real - since) : 0);
  };

  /** The app is opened; undefined where it was killed meanwhile. */
  async open(arm?: (life: Life) => void): Promise<Tab | undefined> {
    const life = new Life(this.now, () => {
      if (this.holder === life) this.holder = undefined;
      if (this.tab?.life === life) this.tab = undefined;
    });
    arm?.(life);
    life.enter();
    Dexie.dependencies.indexedDB = life.indexedDB;
    const opened = await Promise.race([this.patiently(), life.death]);
    if (opened === "dead") return undefined;
    const store = this.bent(opened);
    return { life, store, sync: makeSync(store, this.fetch(life), this.locks(life)) };
  }

  /** As a grower does who reads that the phone is full, or closed its storage: make room, and open the app again. */
  private async patiently(): Promise<MishoStore> {
    for (let tries = 1; ; tries += 1) {
      try {
        return await openStore(this.name, this.versions);
      } catch (error) {
        if (tries === 4 || !(error instanceof StoreError) || error.code === "unknown") throw error;
      }
    }
  }

  /** The tab that is open, or a fresh one. */
  async at(arm?: (life: Life) => void): Promise<Tab | undefined> {
    if (this.tab) {
      arm?.(this.tab.life);
      this.tab.life.enter();
      return this.tab;
    }
    this.opening ??= this.open(arm).finally(() => (this.opening = undefined));
    const tab = await this.opening;
    if (!tab || tab.life.dead) return undefined;
    return (this.tab ??= tab);
  }

  kill(): void {
    this.tab?.life.kill();
    this.tab = undefined;
  }

  /** The next opening finds a newer app, with all records in the layout of the first one. */
  async update(): Promise<void> {
    this.kill();
    await this.look(asFirst);
    this.versions = [...VERSIONS, NEWER];
  }

  private fetch(life: Life): Fetch {
    const never = new Promise<never>(() => undefined);
    const lived = async <T>(wait: Promise<T>): Promise<T> => {
      if (life.dead) return never;
      life.step();
      if (life.dead) return never;
      const [value, error] = await wait.then((v) => [v, undefined] as const, (e: unknown) => [undefined, e] as const);
      if (life.dead) return never;
      life.step();
      if (life.dead) return never;
      life.enter();
      if (error !== undefined) throw error;
      return value as T;
    };
    return async (path, init) => {
      const headers = { ...(init.headers as Record<string, string>), "X-Phone": this.name };
      const url = `http://127.0.0.1:${this.port}${path}`;
      // What has left the phone is on its way, whether or not the phone lives on.
      const going = fetch(url, { ...init, headers: this.cookie ? { ...headers, Cookie: this.cookie } : headers });
      going.catch(() => undefined);
      const answer = await lived(going);
      for (const line of answer.headers.getSetCookie()) this.cookie = line.split(";")[0]!;
      const { ok, status } = answer;
      return { ok, status, headers: answer.headers, text: () => lived(answer.text()) } as Response;
    };
  }

  /** The browser's locks, shared by the tabs; one that dies lets go. */
  private locks(life: Life): LockManager {
    const request = async (_name: string, _options: object, work: (lock: object | null) => Promise<unknown>) => {
      if (life.dead) return new Promise(() => undefined);
      if (this.holder && !this.holder.dead) return work(null);
      this.holder = life;
      try {
        return await work({});
      } finally {
        if (this.holder === life) this.holder = undefined;
      }
    };
    return { request } as unknown as LockManager;
  }

  withoutLocks(tab: Tab): Sync {
    const none = { request: (_name: string, _options: object, work: (lock: object) => unknown) => work({}) };
    return makeSync(tab.store, this.fetch(tab.life), none as unknown as LockManager);
  }

  /** The simulator's own look at the storage, beside the app. */
  async look<T>(work: (db: Tables) => PromiseLike<T>): Promise<T> {
    Dexie.dependencies.indexedDB = disk;
    const db = new Tables(this.name, this.versions);
    try {
      return await work(db);
    } finally {
      db.close();
    }
  }

  /** With a deliberate bug where one is asked for, to see that the simulator sees it. */
  private bent(store: MishoStore): MishoStore {
    if (this.broken === "drop_outbox_on_409") return this.dropping(store);
    if (this.broken !== "drop_photo_once_sent") return store;
    const data = async (id: string): Promise<ArrayBuffer | undefined> => {
      const sent = await store.photos.data(id);
      await this.look((db) => db.photoData.delete(id));
      return sent;
    };
    return { ...store, photos: { ...store.photos, data } };
  }

  private dropping(store: MishoStore): MishoStore {
    return {
      ...store,
      replaceMirror: async (page) => {
        await store.replaceMirror(page);
        await this.look(async (db) => {
          const waiting = (await rowsOf(db)).filter((row) => row.state === "waiting");
          await db.log.bulkDelete(waiting.map((row) => row.seq));
        });
        await store.refresh();
      },
    };
  }

  device(): Promise<string | undefined> {
    return this.look(async (db) => ((await db.meta.get("me"))?.value as { device: string } | undefined)?.device);
  }

  async sync(): Promise<SyncOutcome | "dead"> {
    const tab = await this.at();
    if (!tab) return "dead";
    return Promise.race([tab.sync.syncNow(), tab.life.death]);
  }

  end(): void {
    this.kill();
    forget(this.name);
    hangUp(`${this.name}-changed`);
  }
}

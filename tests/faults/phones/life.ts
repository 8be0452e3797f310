// One life of the app on a phone: from opening it to its end, which may come at any await. What it wrote to
// IndexedDB and committed outlives it; what it had not committed is rolled back; none of its code runs on.

import { IDBFactory, IDBKeyRange, IDBRequest } from "fake-indexeddb";

/** The parts of fake-indexeddb's objects that faults need. */
interface FakeTransaction {
  db: FakeDatabase;
  mode: string;
  error: DOMException | null;
  _state: string;
  _rollbackLog: (() => void)[];
  _abort(name: string): void;
  abort(): void;
}
interface FakeDatabase {
  _rawDatabase: { transactions: FakeTransaction[] };
  close(): void;
}
interface FakeEvent {
  type: string;
  bubbles: boolean;
  cancelable: boolean;
  eventPath: object[];
}
interface Target {
  transaction?: FakeTransaction | null;
  db?: FakeDatabase;
  result?: unknown;
  error?: unknown;
}

/** "lost": the connection, and what was under way; "lost_late": it, but the commit had reached the disk. */
export type Trouble = "kill" | "lost" | "lost_late" | "quota";

const HANDLERS = [
  "onabort", "onblocked", "onclose", "oncomplete", "onerror", "onsuccess", "onupgradeneeded", "onversionchange",
] as const;
const owners = new WeakMap<object, Life>();
const disk = new IDBFactory();

/** The life whose code runs now: it decides what the clock shows. */
let current: Life | undefined;

export class Life {
  dead = false;
  readonly death: Promise<"dead">;
  private die!: (word: "dead") => void;
  private steps = 0;
  private armed: { what: Trouble; at: number } | undefined;
  private readonly connections = new Set<FakeDatabase>();

  /** `now`: what the phone's own clock shows at a real time [ms]. */
  constructor(readonly now: (real: number) => number, private readonly onDeath: () => void) {
    this.death = new Promise((resolve) => (this.die = resolve));
  }

  enter(): void {
    current = this;
  }

  /** Bring trouble at the `after`-th await from now. */
  arm(what: Trouble, after: number): void {
    this.armed = { what, at: this.steps + after };
  }

  /** Gives whether it is still to come, and calls it off. */
  disarm(): boolean {
    const waiting = this.armed !== undefined;
    this.armed = undefined;
    return waiting;
  }

  /** One await is over. Gives the trouble that is due now, if any. */
  step(): Trouble | undefined {
    this.steps += 1;
    if (!this.armed || this.steps < this.armed.at) return undefined;
    const { what } = this.armed;
    if (what === "kill") {
      this.armed = undefined;
      this.kill();
    }
    return what;
  }

  /** The trouble has happened. */
  over(): void {
    this.armed = undefined;
  }

  kill(): void {
    if (this.dead) return;
    this.dead = true;
    for (const db of this.connections) this.cut(db);
    this.onDeath();
    this.die("dead");
  }

  own(db: FakeDatabase): void {
    owners.set(db, this);
    this.connections.add(db);
    if (this.dead) db.close();
  }

  /** Roll back what is under way on a connection, and close it. */
  private cut(db: FakeDatabase): void {
    for (const tx of [...db._rawDatabase.transactions]) {
      if (tx.db === db && !["finished", "committing"].includes(tx._state)) tx.abort();
    }
    db.close();
  }

  /** The browser takes the connection away. */
  lose(tx: FakeTransaction): void {
    tx.db.close();
    this.connections.delete(tx.db);
  }

  /** What Dexie gets for `indexedDB`. */
  get indexedDB(): IDBFactory {
    const open = (name: string, version?: number): IDBOpenDBRequest => {
      const request = disk.open(name, version);
      owners.set(request, this);
      return request;
    };
    const facade = { open, deleteDatabase: disk.deleteDatabase.bind(disk), cmp: disk.cmp.bind(disk) };
    return { ...facade, databases: () => disk.databases() } as unknown as IDBFactory;
  }
}

export { disk };

export function forget(name: string): void {
  const inside = disk as unknown as { _databases: Map<string, unknown>; _connectionQueues: Map<string, unknown> };
  inside._databases.delete(name);
  inside._connectionQueues.delete(name);
}

function ownerOf(target: Target): Life | undefined {
  const db = target.transaction?.db ?? target.db;
  return owners.get(target) ?? (db && owners.get(db));
}

function silence(...objects: object[]): void {
  for (const one of objects) {
    const handled = one as Record<string, unknown>;
    for (const name of HANDLERS) if (handled[name]) handled[name] = null;
  }
}

const LOST = "Connection to Indexed Database server lost. Refresh the page to try again";

/** The transaction's end is told as a failure; and is one, unless the disk has it already. */
function refuseCommit(tx: FakeTransaction, event: FakeEvent, error: DOMException, onDisk = false): void {
  if (!onDisk) for (const back of tx._rollbackLog.reverse()) back();
  tx.error = error;
  event.type = "abort";
  event.bubbles = true;
  event.eventPath = [tx.db];
}

function loseRequest(target: Target, tx: FakeTransaction, event: FakeEvent, error: DOMException): void {
  tx._abort("UnknownError");
  tx.error = error;
  target.result = undefined;
  target.error = error;
  event.type = "error";
  event.bubbles = true;
  event.cancelable = true;
}

function trouble(life: Life, what: Trouble | undefined, target: Target, event: FakeEvent): void {
  const ending = event.type === "complete";
  const tx = ending ? (target as unknown as FakeTransaction) : target.transaction;
  if (!tx || !what || what === "kill" || tx.mode === "versionchange") return;
  if (what === "quota") {
    // The disk's bill comes with the commit.
    if (!ending || tx.mode !== "readwrite") return;
    refuseCommit(tx, event, new DOMException("no room", "QuotaExceededError"));
  } else {
    const error = new DOMException(LOST, "UnknownError");
    if (ending && tx.mode === "readwrite") refuseCommit(tx, event, error, what === "lost_late");
    else if (event.type === "success" && what === "lost") loseRequest(target, tx, event, error);
    else return;
    life.lose(tx);
  }
  life.over();
}

function watchEvents(): void {
  const prototype = Object.getPrototypeOf(IDBRequest.prototype) as { dispatchEvent(event: FakeEvent): boolean };
  const dispatch = prototype.dispatchEvent;
  prototype.dispatchEvent = function (this: Target, event: FakeEvent): boolean {
    const life = ownerOf(this);
    if (!life) return dispatch.call(this, event);
    const opened = this.result as FakeDatabase | undefined;
    if (opened?._rawDatabase) life.own(opened);
    if (!life.dead) trouble(life, life.step(), this, event);
    if (life.dead) silence(this, ...event.eventPath);
    else life.enter();
    return dispatch.call(this, event);
  };
}

function bendClock(): void {
  const real = Date.now.bind(Date);
  Date.now = () => (current && !current.dead ? Math.round(current.now(real())) : real());
}

/** Tabs of one phone hear each other; those that are dead, or of another run, do not count. */
class Channel {
  static readonly all = new Map<string, Set<Channel>>();
  onmessage: ((event: { data: unknown }) => void) | null = null;
  constructor(readonly name: string) {
    const there = Channel.all.get(name) ?? new Set();
    Channel.all.set(name, there.add(this));
  }
  postMessage(data: unknown): void {
    for (const other of Channel.all.get(this.name) ?? []) {
      if (other !== this) setImmediate(() => other.onmessage?.({ data }));
    }
  }
  close(): void {
    Channel.all.get(this.name)?.delete(this);
  }
  addEventListener(): void {}
  unref(): void {}
}

export function hangUp(name: string): void {
  Channel.all.delete(name);
}

watchEvents();
bendClock();
// Before Dexie loads: it takes these at its first line.
Object.assign(globalThis, { indexedDB: disk, IDBKeyRange, IDBRequest, BroadcastChannel: Channel });

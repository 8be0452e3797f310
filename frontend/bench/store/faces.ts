// What the store is to screens, and what more it is to sync.

import type { ReadonlySignal } from "@preact/signals";
import type { Plan, Planned } from "../model/plan";
import type {
  Bench, Draft, LocalRecord, Lot, Me, RecordOut, Site, Species, TreeView, WalkState,
} from "../model/types";
import type { Breath } from "./breath";
import type { Cursor, Page } from "./mirror";
import type { Hearer } from "./hearers";
import type { Result } from "./outbox";
import type { PhotoQueue, Photos } from "./photos";
import type { Tally } from "./tallies";

/** What screens ask of the store. Every promise may reject with a StoreError: say its message and mend. */
export interface Store {
  sites(): Promise<Site[]>;
  species(): Promise<Map<string, Species>>;
  lots(): Promise<Lot[]>;
  /** In the order they are walked. */
  benches(): Promise<Bench[]>;
  /** In walking order; trees that left the nursery are not among them. `breath`: waited for between two portions. */
  treesOf(bench: string, breath?: Breath): Promise<TreeView[]>;
  /** How many trees stand on each bench, and how many of them ask for what; cheap for any number of trees. */
  benchCounts(): Promise<Map<string, Tally>>;
  tree(id: string): Promise<TreeView | undefined>;
  /** Those of these trees that the phone knows, wherever they stand. */
  treesBy(ids: readonly string[]): Promise<TreeView[]>;
  /** Case-blind; at most 50, by tag. */
  findByTag(prefix: string): Promise<TreeView[]>;
  /** By the last hex digits of the tree's id, as the code of a printed tag has them. */
  findByEnd(end: string): Promise<TreeView[]>;

  /**
   * One strict-durability transaction: all of the records, their local view and (when given) the walk.
   * Resolves only when they are on the disk; only then may a screen say "saved".
   */
  capture(drafts: Draft[], walk?: WalkState): Promise<RecordOut[]>;
  /** A correction that takes the record back. */
  undo(recordId: string): Promise<RecordOut>;
  /** A correction that gives the record another body. */
  correct(recordId: string, body: Record<string, unknown>): Promise<RecordOut>;

  /** The walks that were planned at the shed, by name. */
  plans(): Promise<Plan[]>;
  /** A plan with what is left of it; undefined where this phone no longer carries it. */
  planned(id: string): Promise<Planned | undefined>;

  /** This phone's own records of a tree, newest first. */
  recordsOf(tree: string): Promise<LocalRecord[]>;
  /** This phone's own records of a walk, oldest first. */
  recordsOfRun(run: string): Promise<LocalRecord[]>;
  /** Every record still waiting, oldest first, for handing over as a file. */
  outbox(): Promise<RecordOut[]>;

  readonly photos: Photos;

  /** Records not yet acknowledged by the shed. */
  readonly waiting: ReadonlySignal<number>;
  /** This phone's records that the shed set aside and nobody has settled. */
  readonly setAside: ReadonlySignal<LocalRecord[]>;
  /** Goes up whenever anything that the screens show may have changed. */
  readonly version: ReadonlySignal<number>;
  /** Be told which trees a record, a fetch or another tab has changed; gives a stop. */
  onTrees(hearer: Hearer): () => void;

  walk(): Promise<WalkState | undefined>;
  /** Where the walk stands: kept through a kill of the app, though not through a dead battery. */
  setWalk(walk: WalkState | undefined): Promise<void>;
  me(): Promise<Me | undefined>;
  /** Ask the browser to keep our storage; true when it will. */
  persist(): Promise<boolean>;
  close(): void;
}

/** What only sync asks of the store. */
export interface SyncSide {
  /** The oldest waiting records, after record number `after`. */
  oldest(count: number, after?: number): Promise<RecordOut[]>;
  /**
   * Of records that wait. `epoch`: the shed's, as it answered; `sent`: the records that it was asked about.
   * On the disk when it resolves; what was set aside is shown with the next `refresh`.
   */
  acknowledge(results: readonly Result[], serverNow: number, epoch?: string, sent?: readonly RecordOut[]): Promise<void>;
  /** What an older app has written meanwhile, where the shed was set back for a time. */
  takeOver(): Promise<void>;
  /** Acknowledged records still held, and whether they are to be offered again. */
  held(): Promise<string[]>;
  offerDue(): Promise<boolean>;
  offerAgain(ids: readonly string[]): Promise<void>;
  offerDone(): Promise<void>;
  letGo(serverNow: number): Promise<number>;
  cursor(): Promise<Cursor | undefined>;
  applyPage(page: Page): Promise<void>;
  replaceMirror(page: Page): Promise<void>;
  setMe(me: Me): Promise<void>;
  /** Server's clock less the phone's [ms]. */
  learnOffset(ms: number): Promise<void>;
  refresh(): Promise<void>;
}

export type MishoStore = Store & SyncSide & { readonly photos: Photos & PhotoQueue };

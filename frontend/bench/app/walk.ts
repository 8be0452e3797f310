// The walk that is open: its bench, its trees, the tree under the thumb, and its records.

import { batch, computed, signal } from "@preact/signals";
import type { FirstLook, Store, Trees } from "../store";
import { inWalkingOrder } from "../model/order";
import type { Planned } from "../model/plan";
import type { Bench, Draft, LocalRecord, RecordOut, TreeView, WalkState } from "../model/types";
import { uuidv7 } from "../model/uuid";
import { openDues, type Ask } from "../screens/logic/ask";
import { nextOn, wanting } from "../screens/logic/plan";
import { lastGroup } from "../screens/logic/undo";
import { fineDrafts, finePlan, nextNear, restPlan, soilDrafts } from "../screens/logic/rest";
import { AnswerBook } from "./answers";
import { keeping, renewed } from "./renew";
import { word, type Text } from "../words";
import { Stale } from "./stale";
import { atWork, betweenTaps } from "./thumb";

type Soil = "wet" | "moist" | "dry";

/** How long no tap came before what has changed is read anew. [ms] */
const REST_MS = 400;
/** Between two portions of many changed trees: a tap comes in between. [ms] */
const BREATH_MS = 60;

/** The correction that takes a record back; many of them are saved as one, as they were made by one tap. */
function takeBack({ record }: LocalRecord): Draft {
  const body = { replaces: record.id, withdraw: true } as const;
  return { kind: "correction", tree: record.tree, run: record.run, body };
}

function waiting(record: RecordOut): LocalRecord {
  return { record, state: "waiting", withdrawn: false, reason: "", field: "", message: "", mend: "" };
}

/** `known`, oldest first, with the records of some trees put anew. */
function merged(known: readonly LocalRecord[], trees: ReadonlySet<string>, anew: readonly LocalRecord[]): LocalRecord[] {
  const others = known.filter((r) => !r.record.tree || !trees.has(r.record.tree));
  return [...others, ...anew].sort((a, b) => a.record.device_seq - b.record.device_seq);
}

export class Walk {
  readonly state = signal<WalkState | undefined>(undefined);
  readonly bench = signal<Bench | undefined>(undefined);
  readonly trees = signal<TreeView[]>([]);
  /** How many trees stand here, as long as only those in sight are known. */
  readonly partial = signal<number | undefined>(undefined);
  readonly records = signal<LocalRecord[]>([]);
  /** The tree whose record was saved last, and what the screen says of it. */
  readonly said = signal<{ tree: string | null; text: Text } | undefined>(undefined);

  readonly #book = new AnswerBook();
  readonly answers = this.#book.all;
  /** How many trees were looked at. */
  readonly looked = computed(() => this.answers.value.size + this.#book.beyond.value);
  readonly here = computed(() => this.trees.value.find((t) => t.id === this.state.value?.tree));
  /** The plan that this walk follows, with what was left of it when the bench was read. */
  readonly planned = signal<Planned | undefined>(undefined);
  /** The trees that it stops at. */
  readonly stops = computed(() => this.planned.value && new Set(this.planned.value.stops.map(({ stop }) => stop.tree)));
  readonly size = computed(() => this.partial.value ?? this.trees.value.length);
  /** Undefined after the last one; as long as not all are known, where it is out of sight too. */
  readonly next = computed(() => {
    const tree = this.state.value?.tree ?? null;
    if (this.partial.value) return nextNear(this.trees.value, tree, this.answers.value);
    return nextOn(this.planned.value, this.trees.value, tree, this.answers.value);
  });
  readonly started = computed(() => this.records.value.some((r) => r.record.kind === "walk_started"));

  #queue: Promise<unknown> = Promise.resolve();
  /** The reading of all that a first look left out. Answers do not wait for it. */
  #rest: Promise<unknown> = Promise.resolve();
  /** Somebody waits for it. */
  #urged = false;
  /** The first look whose walk and records were not yet compared with the disk's. */
  #unmet: FirstLook | undefined;
  #soon: ReturnType<typeof setTimeout> | undefined;
  readonly #stale = new Stale();
  #saving = false;

  constructor(
    private readonly store: Store,
    /** `saving`: what failed was a record on its way to the disk. */
    private readonly tell: (error: unknown, saving: boolean) => void,
  ) {
    store.onTrees((trees) => this.#heard(trees));
  }

  /** In turn, and with all trees of the bench known, and all records of the walk. */
  #inTurn(work: () => Promise<unknown>, saving = true): Promise<boolean> {
    return this.#turn(() => {
      this.#urged = true;
      return this.#rest.then(() => this.#meet()).then(work);
    }, saving);
  }

  /** One thing after the other: a second tap must find the first one's record. */
  #turn(work: () => Promise<unknown>, saving = true): Promise<boolean> {
    const turn = this.#queue.then(work).then(
      () => (this.tell(undefined, saving), true),
      (error: unknown) => (this.tell(error, saving), false),
    );
    this.#queue = turn;
    return turn;
  }

  /**
   * A sync, another tab or a tap changed some trees: read them anew once the thumb rests. In turn, too: a
   * read that began before a tap must not end after it and hide what the tap saved.
   */
  #heard(trees: Trees): void {
    if (!this.state.peek()) return;
    this.#stale.hear(trees, this.#saving);
    this.#readSoon(REST_MS);
  }

  #readSoon(ms: number): void {
    clearTimeout(this.#soon);
    const read = () => {
      this.#queue = this.#queue.then(() => this.#readStale()).catch((error: unknown) => this.tell(error, false));
    };
    this.#soon = setTimeout(() => void this.#rest.then(betweenTaps).then(read), ms);
  }

  /** `first`: trees that must be read anew now; others may follow in portions. */
  async #readStale(first: readonly string[] = []): Promise<void> {
    const state = this.state.peek();
    if (!state || (!first.length && !this.#stale.some)) return;
    const portion = this.#stale.take(first);
    if (portion === "all") return this.reload();
    const { ids, doubted } = portion;
    const [views, own] = await Promise.all([
      this.store.treesBy(ids),
      Promise.all(doubted.map((id) => this.store.recordsOf(id))),
    ]);
    if (this.#stale.some) this.#readSoon(BREATH_MS);
    const records = own.flatMap((mine) => mine.filter((r) => r.record.run === state.run).reverse());
    batch(() => {
      this.trees.value = wanting(this.planned.peek(), renewed(this.trees.peek(), state.bench, ids, views));
      if (!doubted.length) return;
      this.records.value = merged(this.records.peek(), new Set(doubted), records);
      this.#book.replace(doubted, records);
    });
  }

  /** Show what a first look found, and read the whole once that is `shown`. False where it cannot be read. */
  begin(look: FirstLook, shown: Promise<void>): Promise<boolean> {
    const { walk, bench, trees, all, records, beyond } = look;
    batch(() => {
      this.state.value = walk;
      this.bench.value = bench;
      this.trees.value = inWalkingOrder(trees);
      this.partial.value = trees.length < all ? all : undefined;
      this.records.value = records;
      this.#book.open(records, beyond);
    });
    this.#unmet = look;
    this.#urged = false;
    const reading = shown.then(() => this.#readRest(look));
    this.#rest = reading.catch(() => undefined);
    return reading.then(() => this.#turn(() => this.#meet(), false), (error: unknown) => (this.tell(error, false), false));
  }

  /** What taps change meanwhile is read anew after it. */
  async #readRest({ walk }: FirstLook): Promise<void> {
    // At the last tree that is known, the next tap asks for one that is not.
    const breath = async () => void (this.#urged || !this.next.peek() || (await betweenTaps()));
    const [benches, trees] = await Promise.all([this.store.benches(), this.store.treesOf(walk.bench, breath)]);
    await breath();
    const bench = benches.find(({ id }) => id === walk.bench);
    batch(() => {
      if (JSON.stringify(bench) !== JSON.stringify(this.bench.peek())) this.bench.value = bench;
      this.trees.value = keeping(this.trees.peek(), trees);
      this.partial.value = undefined;
    });
  }

  /**
   * Once, in turn: another tab may have gone on with this walk between the look and the first moment that we hear of
   * it, and what was kept as the app was left has the records in sight only.
   */
  async #meet(): Promise<void> {
    const look = this.#unmet;
    if (!look) return;
    const [now, records] = await Promise.all([this.store.walk(), this.store.recordsOfRun(look.walk.run)]);
    this.#unmet = undefined;
    // Where nothing was tapped since, the disk knows better where the walk stands.
    if (this.state.peek() === look.walk && JSON.stringify(now) !== JSON.stringify(look.walk)) {
      this.state.value = now;
      return this.reload();
    }
    if (look.walk.run !== this.state.peek()?.run || records.length === this.records.peek().length) return;
    batch(() => {
      this.records.value = records;
      this.#book.open(records);
    });
  }

  /** Do what needs all trees of the bench: now, mostly. */
  async whole(work: () => unknown): Promise<void> {
    const read = async () => void (this.partial.peek() && (await this.reload()));
    if (!this.partial.peek() || (await this.#inTurn(read, false))) work();
  }

  /** Take up the walk that was open when the app was closed. */
  async resume(): Promise<WalkState | undefined> {
    const walk = await this.store.walk();
    if (walk) {
      this.state.value = walk;
      await this.reload();
    }
    return walk;
  }

  /** Open a bench; the walk itself begins with its first record. */
  open(bench: string): Promise<boolean> {
    return this.#inTurn(async () => {
      const now = Date.now();
      this.state.value = { run: uuidv7(now), bench, tree: null, started_at: new Date(now).toISOString() };
      this.said.value = undefined;
      await this.reload();
      const first = this.trees.value.find((t) => openDues(t).length > 0) ?? this.trees.value[0];
      this.state.value = { ...this.state.value, tree: first?.id ?? null };
      await this.store.setWalk(this.state.value);
    });
  }

  async reload(): Promise<void> {
    const state = this.state.peek();
    if (!state) return;
    this.#stale.clear();
    const [benches, trees, records, planned] = await Promise.all([
      this.store.benches(),
      this.store.treesOf(state.bench),
      this.store.recordsOfRun(state.run),
      state.plan ? this.store.planned(state.plan) : undefined,
    ]);
    batch(() => {
      this.bench.value = benches.find((b) => b.id === state.bench);
      this.planned.value = planned;
      this.trees.value = wanting(planned, trees);
      this.partial.value = undefined;
      this.records.value = records;
      this.#book.open(records);
    });
  }

  /** Let this walk follow a plan: its trees ask for what the plan wants, and the next one is its next stop. */
  follow(plan: string): Promise<boolean> {
    return this.#inTurn(async () => {
      if (!this.state.value) return;
      this.state.value = { ...this.state.value, plan };
      await this.store.setWalk(this.state.value);
      await this.reload();
    });
  }

  select(tree: string | null): void {
    const state = this.state.value;
    if (!state || state.tree === tree) return;
    const moved = { ...state, tree };
    this.state.value = moved;
    this.said.value = undefined;
    // Not in turn: the next tap must not wait for it, and saves the place with its own record.
    this.store.setWalk(moved).catch((error: unknown) => this.tell(error, false));
  }

  /** Save, and lay what was saved over what the screen holds: reading the bench anew would be felt at each tap. */
  async #capture(drafts: Draft[]): Promise<void> {
    const state = this.state.value;
    if (!state || !drafts.length) return;
    const start: Draft = { kind: "walk_started", run: state.run, body: { bench: state.bench } };
    this.#saving = true;
    const saving = this.store.capture(this.started.value ? drafts : [start, ...drafts], state);
    atWork(saving);
    const saved = await saving.finally(() => (this.#saving = false));
    const mine = saved.map(waiting);
    batch(() => {
      this.records.value = [...this.records.value, ...mine];
      this.#book.add(mine);
      this.said.value = { tree: state.tree, text: word("saved") };
    });
  }

  /** Save what a form says; it may change the tree itself, so that is read anew. */
  save(drafts: Draft[]): Promise<boolean> {
    const run = this.state.value?.run ?? null;
    return this.#inTurn(async () => {
      const at = this.trees.value.findIndex((t) => t.id === this.state.value?.tree);
      await this.#capture(drafts.map((d) => ({ ...d, run })));
      await this.#readStale(drafts.flatMap((d) => d.tree ?? []));
      await this.#closeUp(at);
    });
  }

  /** Where the tree under the thumb has left the bench, stand at the one that came up in its place. */
  async #closeUp(at: number): Promise<void> {
    const state = this.state.value;
    const trees = this.trees.value;
    if (!state || at < 0 || this.here.value || !trees.length) return;
    this.state.value = { ...state, tree: (trees[at] ?? trees[at - 1])?.id ?? null };
    await this.store.setWalk(this.state.value);
  }

  /** A tap on an answer: the first is a record, another value puts it right, the same value changes nothing. */
  check(tree: string, what: Ask["what"], value: string): Promise<boolean> {
    return this.#turn(async () => {
      const mine = this.answers.value.get(tree)?.[what];
      const kind = ({ wire: "wire_look", soil: "soil_check", buds: "bud_check" } as const)[what];
      const run = this.state.value?.run ?? null;
      if (mine && mine.kind === kind) {
        if (mine.value === value && !mine.bulk) return;
        const body = { replaces: mine.record, body: { state: value } };
        return this.#capture([{ kind: "correction", tree, run, body }]);
      }
      return this.#capture([{ kind, tree, run, body: { state: value } } as Draft]);
    });
  }

  /** Soil moist and wire snug where due; then on to the next tree, unless something is left to ask here. */
  async fine(): Promise<boolean> {
    const tree = this.here.value;
    const run = this.state.value?.run;
    if (!tree || !run) return false;
    const drafts = fineDrafts(tree, finePlan(tree, this.answers.value.get(tree.id)), run, false);
    const saved = await this.#turn(() => this.#capture(drafts));
    const left = this.here.value && openDues(this.here.value, this.answers.value.get(tree.id));
    const on = () => this.next.value && this.select(this.next.value.id);
    if (saved && !left?.length) await (this.next.value ? on() : this.whole(on));
    return saved;
  }

  rest(): Promise<boolean> {
    return this.#inTurn(async () => {
      const plan = restPlan(this.trees.value, this.answers.value, this.state.value?.run ?? "");
      await this.#capture(plan.drafts);
    });
  }

  /** One soil word for a row or the bench: trees answered on this walk by a tap of their own keep their answer. */
  soil(trees: readonly TreeView[], word: Soil): Promise<boolean> {
    return this.#inTurn(async () => {
      const open = trees.filter((t) => !this.answers.value.get(t.id)?.soil);
      const run = this.state.value?.run ?? "";
      const given = trees.flatMap((t) => {
        const soil = this.answers.value.get(t.id)?.soil;
        if (!soil?.bulk || soil.value === word) return [];
        const body = { replaces: soil.record, body: { state: word, bulk: true } };
        return [{ kind: "correction", tree: t.id, run, body } satisfies Draft];
      });
      await this.#capture([...given, ...soilDrafts(open, word, run)]);
    });
  }

  /** Take back what was recorded last (all of it, where one tap recorded many), and go to that tree. */
  undo(): Promise<boolean> {
    return this.#inTurn(async () => {
      const group = lastGroup(this.records.value);
      if (group.length) await this.store.capture(group.map((r) => takeBack(r)));
      await this.#readStale([...new Set(group.flatMap((r) => r.record.tree ?? []))]);
      const trees = new Set(group.map((r) => r.record.tree));
      const tree = trees.size === 1 ? [...trees][0] : null;
      if (tree && this.state.value) this.state.value = { ...this.state.value, tree };
      this.said.value = { tree: this.state.value?.tree ?? null, text: word("taken back") };
      await this.store.setWalk(this.state.value);
    });
  }

  /** End the walk by a record; without any record there was no walk, and it is just closed. */
  end(): Promise<boolean> {
    return this.#inTurn(async () => {
      const state = this.state.value;
      if (state && this.started.value) {
        await this.store.capture([{ kind: "walk_ended", run: state.run, body: {} }]);
      }
      await this.store.setWalk(undefined);
      this.state.value = undefined;
      this.planned.value = undefined;
      this.said.value = undefined;
      this.records.value = [];
      this.#book.open([]);
    });
  }

  /** Go on with a walk that was ended: its end is taken back. */
  again(bench: string, run: string): Promise<boolean> {
    return this.#inTurn(async () => {
      const records = await this.store.recordsOfRun(run);
      const ended = records.filter((r) => r.record.kind === "walk_ended" && !r.withdrawn);
      for (const record of ended) await this.store.undo(record.record.id);
      const start = records[0]?.record.observed_at ?? new Date().toISOString();
      const last = records.findLast((r) => r.record.tree)?.record.tree ?? null;
      this.state.value = { run, bench, tree: last, started_at: start };
      await this.store.setWalk(this.state.value);
      await this.reload();
    });
  }
}

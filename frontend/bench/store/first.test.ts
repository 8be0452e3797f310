// @vitest-environment node
// What a first look shows must be what the store itself says a moment later.
import { Dexie } from "dexie";
import fc from "fast-check";
import { expect, test, vi } from "vitest";
import type { MishoStore } from ".";
import type { Draft, Me } from "../model/types";
import { picture } from "../testing/pictures";
import { BENCH, benchRow, mirror, newStore, soil, standing, stored, treeRow, uuid } from "../testing/rows";
import { firstLook } from "./first";
import { VERSIONS } from "./schema";

const ME: Me = { device: uuid(7), name: "Phone A", role: "helper", epoch: "e1" };
const RUN = uuid(4000);
const REACH = { rows: 2, places: 3 };
const reach = () => REACH;

let made = 0;

/** A phone that stands at a tree of a bench of `rows` rows with `places` trees each; numbered row by row. */
async function phone(rows: number, places: number, here = 1): Promise<{ store: MishoStore; name: string }> {
  const name = `first-${++made}`;
  const store = await newStore(name);
  await store.setMe(ME);
  const trees = Array.from({ length: rows * places }, (_, at) => {
    const [row, place] = [Math.floor(at / places) + 1, (at % places) + 1];
    return treeRow(at + 1, { row, place, st: standing(at % 3 ? ["soil"] : ["soil", "wire"]) });
  });
  await mirror(store, [benchRow(), ["bench", uuid(9002), { name: "North bench", rows: 1, places: 9, order: 1 }], ...trees]);
  await store.capture([{ kind: "walk_started", run: RUN, body: { bench: BENCH } }], walkAt(here));
  return { store, name };
}

function walkAt(tree: number) {
  return { run: RUN, bench: BENCH, tree: uuid(tree), started_at: "2026-06-01T08:15:00.000Z" };
}

const tags = (trees: { tag: string }[] = []) => trees.map((tree) => tree.tag).sort();

test("of a small bench all is seen, with who we are, what was recorded and what waits", async () => {
  const { store, name } = await phone(2, 3, 5);
  await store.capture([{ ...soil(5, "dry"), run: RUN }, { ...soil(1, "wet"), run: uuid(1) }, await picture(1)]);
  const look = await firstLook(name, reach);
  expect(look).toMatchObject({ me: ME, walk: walkAt(5), all: 6, waiting: 4, photos: 1 });
  expect(look!.bench).toEqual((await store.benches())[0]);
  expect(tags(look!.trees)).toEqual(["K001X", "K002X", "K003X", "K004X", "K005X", "K006X"]);
  expect(look!.trees.find(({ id }) => id === uuid(5))!.fresh.soil!.state).toBe("dry");
  expect(look!.records).toEqual(await store.recordsOfRun(RUN));
  store.close();
});

test("of a large bench only what lies around the tree at hand is read", async () => {
  const { store, name } = await phone(12, 11, 5 * 11 + 6);
  const look = await firstLook(name, reach);
  // Rows 4 to 8, places 3 to 6 + 1; in its own row also those ahead.
  const shown = [4, 5, 6, 7, 8].flatMap((row) => [3, 4, 5, 6, 7].map((place) => (row - 1) * 11 + place));
  const ahead = [8, 9, 10, 11].map((place) => 5 * 11 + place);
  expect(look!.trees.map(({ id }) => id).sort()).toEqual([...shown, ...ahead].map(uuid).sort());
  expect(look!.all).toBe(132);
  store.close();
});

test.each<[string, (store: MishoStore) => Promise<unknown>]>([
  ["no walk is open", (store) => store.setWalk(undefined)],
  ["the walk follows a plan", (store) => store.setWalk({ ...walkAt(1), plan: uuid(6000) })],
  ["the walk stands at no tree", (store) => store.setWalk({ ...walkAt(1), tree: null })],
  ["its tree is gone", (store) => mirror(store, [["tree", uuid(1), null]], 2)],
  ["its tree stands elsewhere", (store) => mirror(store, [treeRow(1, { bench: uuid(9002) })], 2)],
  ["a tree was moved here since", (store) => {
    return store.capture([{ kind: "tree_move", tree: uuid(2), body: { bench: uuid(9002), row: 1, place: 1 } }]);
  }],
  ["a tree left the nursery since", (store) => store.capture([{ kind: "tree_left", tree: uuid(2), body: { how: "died" } }])],
])("nothing is shown where %s", async (_, change) => {
  const { store, name } = await phone(1, 4);
  expect(await firstLook(name, reach)).toBeDefined();
  await change(store);
  expect(await firstLook(name, reach)).toBeUndefined();
  store.close();
});

test("nothing is shown where the tree at hand has no place on a large bench", async () => {
  const { store, name } = await phone(12, 11);
  await mirror(store, [treeRow(1, { row: null, place: null })], 2);
  expect(await firstLook(name, reach)).toBeUndefined();
  store.close();
});

test("a phone without a memory gets none by being looked at", async () => {
  expect(await firstLook("never-opened", reach)).toBeUndefined();
  expect((await indexedDB.databases()).map(({ name }) => name)).not.toContain("never-opened");
});

test("a memory of an older layout, or with records left in the first one, is for the store to take over", async () => {
  const { store, name } = await phone(1, 2);
  store.close();
  const db = new Dexie(name);
  await db.open();
  const old = { id: uuid(100), seq: 9, state: "waiting", unseen: 1, record: { device_seq: 9, id: uuid(100) } };
  await db.table("records").put(old);
  expect(await firstLook(name, reach)).toBeUndefined();
  await db.table("records").clear();
  expect(await firstLook(name, reach)).toBeDefined();
  db.close();

  const before = new Dexie("older");
  VERSIONS.slice(0, -1).forEach(({ tables }, at) => before.version(at + 1).stores(tables));
  await before.open();
  before.close();
  expect(await firstLook("older", reach)).toBeUndefined();
});

test("a memory that is being looked at lets a newer app have it", async () => {
  const { store, name } = await phone(1, 2);
  store.close();
  const looking = firstLook(name, reach);
  const newer = new Dexie(name);
  newer.version(VERSIONS.length + 1).stores({ sketches: "id" });
  const blocked = vi.fn();
  newer.on("blocked", blocked);
  await newer.open();
  await looking;
  expect([newer.verno, blocked.mock.calls]).toEqual([VERSIONS.length + 1, []]);
  newer.close();
});

const ROWS = 13;
const PLACES = 10;
const aTree = fc.integer({ min: 1, max: ROWS * PLACES });
type Step = { do: "look" | "undo" | "right" | "hand over" | "fetch" | "go"; tree: number; word: "wet" | "moist" | "dry" };
const steps = fc.array(
  fc.record<Step>({
    do: fc.constantFrom("look", "look", "look", "undo", "right", "hand over", "fetch", "go"),
    tree: aTree,
    word: fc.constantFrom("wet", "moist", "dry"),
  }),
  { maxLength: 12 },
);

test("whatever was recorded, handed over and fetched, it shows of each tree what the store says", async () => {
  await fc.assert(
    fc.asyncProperty(aTree, steps, async (here, all) => {
      const { store, name } = await phone(ROWS, PLACES, here);
      let cursor = 1;
      for (const step of all) cursor = await take(store, step, cursor);
      const look = (await firstLook(name, reach))!;
      const whole = new Map((await store.treesOf(BENCH)).map((tree) => [tree.id, tree]));
      for (const tree of look.trees) expect(tree).toEqual(whole.get(tree.id));
      const walk = (await store.walk())!;
      const at = whole.get(walk.tree!)!;
      // Above and to the left as far as is looked, below and to the right what may be seen, and six ahead in the row.
      const near = [...whole.values()].filter(({ row, place }) => {
        const ahead = place! - at.place!;
        return Math.abs(row! - at.row!) <= REACH.rows && ahead >= -REACH.places && ahead <= (row === at.row ? 6 : 1);
      });
      const seen = new Set(look.trees.map(({ id }) => id));
      expect(near.filter(({ id }) => !seen.has(id))).toEqual([]);
      expect(look).toMatchObject({ walk, all: whole.size, waiting: store.waiting.value });
      expect(look.records).toEqual(await store.recordsOfRun(RUN));
      store.close();
    }),
    { numRuns: 25 },
  );
});

/** One thing that may happen on a walk; gives the mirror's place after it. */
async function take(store: MishoStore, { do: what, tree, word }: Step, cursor: number): Promise<number> {
  const mine = (await store.recordsOfRun(RUN)).filter(({ record }) => record.kind === "soil_check");
  const last = mine.at(-1)?.record;
  if (what === "look") await store.capture([{ ...soil(tree, word), run: RUN } as Draft]);
  if (what === "undo" && last) await store.undo(last.id);
  if (what === "right" && last) await store.correct(last.id, { state: word });
  if (what === "go") await store.setWalk(walkAt(tree));
  if (what === "hand over") await store.acknowledge((await store.outbox()).slice(0, 3).map(({ id }) => stored(id)), cursor, "e1");
  await store.refresh();
  if (what !== "fetch") return cursor;
  const st = { ...standing(["soil"]), last: { soil: [word, "2026-06-02"] as [string, string] } };
  const [row, place] = [Math.floor((tree - 1) / PLACES) + 1, ((tree - 1) % PLACES) + 1];
  await mirror(store, [treeRow(tree, { row, place, st })], cursor + 1);
  return cursor + 1;
}

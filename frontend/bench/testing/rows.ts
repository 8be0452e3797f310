// Rows and stores for the tests of store and sync.

import type { FeedRow, MishoStore } from "../store";
import { openStore } from "../store/open";
import type { Draft, TreeRow } from "../model/types";

let made = 0;

/** A store of its own on fake-indexeddb; give the name of an earlier one to open that again. */
export function newStore(name = `test-${++made}`): Promise<MishoStore> {
  return openStore(name);
}

export function uuid(n: number): string {
  return `00000000-0000-7000-8000-${String(n).padStart(12, "0")}`;
}

export const BENCH = uuid(9001);

export function benchRow(id = BENCH, name = "South bench", order = 0): FeedRow {
  return ["bench", id, { name, rows: 3, places: 6, order }];
}

/** Feed row of a tree: number n stands in row 1 at place n of the bench. */
export function treeRow(n: number, more: Partial<TreeRow> = {}): FeedRow {
  const tree = {
    tag: `K${String(n).padStart(3, "0")}X`, species: "japanese-black-pine", phase: "roots", sown: 2022, lot: null,
    bench: BENCH, row: 1, place: n, target: null, left: "", st: null,
    ...more,
  };
  return ["tree", uuid(n), tree];
}

export function standing(due: string[]): NonNullable<TreeRow["st"]> {
  return {
    gate: "trunk", p: 0.4, held: "roots_spread", not_looked: true, due: due.map((what) => ({ what: what as "wire", why: "" })),
    wire: null, buds_p: null, last: {}, caliper_mm: null, as_of: "2026-06-01",
  };
}

export function soil(n: number, state: "wet" | "moist" | "dry" = "dry"): Draft {
  return { kind: "soil_check", tree: uuid(n), body: { state } };
}

/** Put rows into the mirror as a last page. */
export function mirror(store: MishoStore, rows: FeedRow[], seq = 1, epoch = "e1"): Promise<void> {
  return store.applyPage({ rows, cursor: { epoch, seq }, last: true });
}

export function stored(id: string) {
  return { id, outcome: "stored" as const, reason: "", field: "", message: "", mend: "" };
}

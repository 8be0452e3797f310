// A bench as rows to draw.

import type { Bench, TreeView } from "../../model/types";

/** A tree and the column that it is drawn in, from 1. */
export interface Pot { tree: TreeView; column: number }

export interface Slat {
  /** 1 and up; 0 for trees that stand on the bench without a place. */
  readonly row: number;
  /** In the order they are drawn and read: from the left. */
  readonly pots: readonly Pot[];
  /** Places with no pot. */
  readonly holes: readonly number[];
}

export interface Slats {
  all: readonly Slat[];
  columns: number;
  /** Where a tree is drawn: which slat, from 0, and which column, from 1. */
  at(tree: string): { slat: number; column: number } | undefined;
}

/** Past this many places the empty ones are not drawn: they are only there for the eye. */
const MOST_HOLES = 600;
/** Trees without a place are laid out in rows of so many. */
const LOOSE = 10;

/** Of a bench of thousands few rows are ever drawn: the pots of each are laid out when they are asked for. */
class Laid implements Slat {
  #pots: Pot[] | undefined;
  #holes: number[] | undefined;

  /** `trees` from the left; `places`: of the empty ones among so many it tells. */
  constructor(readonly row: number, readonly trees: readonly TreeView[], readonly places: number) {}

  get pots(): readonly Pot[] {
    if (!this.#pots) {
      let last = 0;
      this.#pots = this.trees.map((tree) => ({ tree, column: (last = this.#after(last, tree)) }));
    }
    return this.#pots;
  }

  get holes(): readonly number[] {
    if (!this.#holes) {
      const taken = new Set(this.pots.map((pot) => pot.column));
      this.#holes = Array.from({ length: this.places }, (_, i) => i + 1).filter((place) => !taken.has(place));
    }
    return this.#holes;
  }

  get columns(): number {
    return this.trees.reduce((last, tree) => this.#after(last, tree), 0);
  }

  /** Two trees on one place, or one on none in its row: side by side, never one over the other. */
  #after(last: number, { place }: TreeView): number {
    return this.row && place !== null ? Math.max(place, last + 1) : last + 1;
  }
}

/**
 * Rows from the first to the last that holds a tree; after them, rows of trees without a place. `known`: these are all
 * trees of the bench; else it has all its rows, and what lies between and beyond them is not called empty.
 */
export function slats(bench: Bench, trees: readonly TreeView[], known = true): Slats {
  const byRow = new Map<number, TreeView[]>();
  for (const tree of trees) {
    const row = tree.row ?? 0;
    const mine = byRow.get(row);
    if (mine) mine.push(tree);
    else byRow.set(row, [tree]);
  }
  const draw = known && bench.rows * bench.places <= MOST_HOLES;
  const last = Math.max(known ? 0 : bench.rows, ...byRow.keys());
  const all: Laid[] = [];
  for (let row = 1; row <= last; row++) {
    const mine = byRow.get(row) ?? [];
    mine.sort((a, b) => (a.place ?? Infinity) - (b.place ?? Infinity));
    all.push(new Laid(row, mine, draw ? bench.places : 0));
  }
  const loose = byRow.get(0) ?? [];
  for (let from = 0; from < loose.length; from += LOOSE) all.push(new Laid(0, loose.slice(from, from + LOOSE), 0));
  return {
    all,
    columns: all.reduce((most, slat) => Math.max(most, slat.columns), bench.places),
    at: (tree) => {
      const slat = all.findIndex((one) => one.trees.some(({ id }) => id === tree));
      const pot = all[slat]?.pots.find((one) => one.tree.id === tree);
      return pot && { slat, column: pot.column };
    },
  };
}

/** Slats `top` up to, not with, `bottom`; columns `left` up to, not with, `right`. */
export interface Part { top: number; bottom: number; left: number; right: number }

/** A bench of no more trees than this is drawn whole, once it rests. */
export const WHOLE = 120;
/** So many rows and columns are drawn on each side of what is in sight: at once where it moved on, and at rest. */
export const AT_ONCE = { rows: 1, columns: 2 };
export const AT_REST = { rows: 2, columns: 3 };

/** What is in sight, in rows and columns with their fractions. */
export interface Sight { top: number; left: number; rows: number; columns: number }

/** What to draw for what is in sight; `was` as it is, as long as it still covers that. */
export function partOf(sight: Sight, was: Part | undefined, spare = AT_REST): Part {
  const top = Math.max(0, Math.floor(sight.top));
  const left = Math.max(1, Math.floor(sight.left) + 1);
  const bottom = Math.ceil(sight.top + sight.rows);
  const right = Math.ceil(sight.left + sight.columns) + 1;
  if (was && was.top <= top && was.bottom >= bottom && was.left <= left && was.right >= right) return was;
  return {
    top: Math.max(0, top - spare.rows),
    bottom: bottom + spare.rows,
    left: Math.max(1, left - spare.columns),
    right: right + spare.columns,
  };
}

/** One row and one column nearer to `goal` on each side: pots drawn all at once would be felt. The same where it is there. */
export function toward(part: Part, goal: Part): Part {
  const step = (edge: keyof Part) => part[edge] + Math.sign(goal[edge] - part[edge]);
  const next = { top: step("top"), bottom: step("bottom"), left: step("left"), right: step("right") };
  return Object.keys(next).every((edge) => next[edge as keyof Part] === part[edge as keyof Part]) ? part : next;
}

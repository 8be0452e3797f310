// A bench as rows to draw.

import type { Bench, TreeView } from "../../model/types";

/** A tree and the column that it is drawn in, from 1. */
export interface Pot { tree: TreeView; column: number }

export interface Slat {
  /** 1 and up; 0 for trees that stand on the bench without a place. */
  row: number;
  /** In the order they are drawn and read: from the left. */
  pots: Pot[];
  /** Places with no pot. */
  holes: number[];
}

export interface Slats {
  all: Slat[];
  columns: number;
  /** Where each tree is drawn: which slat, from 0, and which column, from 1. */
  at: Map<string, { slat: number; column: number }>;
}

/** Past this many places the empty ones are not drawn: they are only there for the eye. */
const MOST_HOLES = 600;
/** Trees without a place are laid out in rows of so many. */
const LOOSE = 10;

/** Rows from the first to the last that holds a tree; after them, rows of trees without a place. `holes`: draw them. */
export function slats(bench: Bench, trees: readonly TreeView[], holes = true): Slats {
  const byRow = new Map<number, TreeView[]>();
  for (const tree of trees) {
    const row = tree.row ?? 0;
    const mine = byRow.get(row);
    if (mine) mine.push(tree);
    else byRow.set(row, [tree]);
  }
  const draw = holes && bench.rows * bench.places <= MOST_HOLES;
  const last = Math.max(0, ...byRow.keys());
  const all: Slat[] = [];
  for (let row = 1; row <= last; row++) all.push(placed(row, byRow.get(row) ?? [], draw ? bench.places : 0));
  const loose = byRow.get(0) ?? [];
  for (let from = 0; from < loose.length; from += LOOSE) {
    const pots = loose.slice(from, from + LOOSE).map((tree, i) => ({ tree, column: i + 1 }));
    all.push({ row: 0, pots, holes: [] });
  }
  let columns = bench.places;
  const at: Slats["at"] = new Map();
  all.forEach(({ pots }, slat) => {
    for (const { tree, column } of pots) {
      columns = Math.max(columns, column);
      at.set(tree.id, { slat, column });
    }
  });
  return { all, columns, at };
}

function placed(row: number, trees: TreeView[], places: number): Slat {
  trees.sort((a, b) => (a.place ?? Infinity) - (b.place ?? Infinity));
  const pots: Pot[] = [];
  for (const tree of trees) {
    // Two trees on one place, or one on none in its row: side by side, never one over the other.
    const next = (pots.at(-1)?.column ?? 0) + 1;
    pots.push({ tree, column: Math.max(tree.place ?? next, next) });
  }
  const taken = new Set(pots.map((p) => p.column));
  const holes = Array.from({ length: places }, (_, i) => i + 1).filter((p) => !taken.has(p));
  return { row, pots, holes };
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

// A bench as rows to draw.

import type { Bench, TreeView } from "../../model/types";

export interface Slat {
  /** 1 and up; 0 for trees that stand on the bench without a place. */
  row: number;
  /** In the order they are drawn and read: from the left. */
  trees: TreeView[];
  /** Places with no pot. */
  holes: number[];
}

/** Past this many places the empty ones are not drawn: they are only there for the eye. */
const MOST_HOLES = 600;

/** Rows from the first to the last that holds a tree; a row of its own for trees without a place. */
export function slats(bench: Bench, trees: readonly TreeView[]): Slat[] {
  const byRow = new Map<number, TreeView[]>();
  for (const tree of trees) {
    const row = tree.row ?? 0;
    byRow.set(row, [...(byRow.get(row) ?? []), tree]);
  }
  const last = Math.max(0, ...byRow.keys());
  const draw = bench.rows * bench.places <= MOST_HOLES;
  const all: Slat[] = [];
  for (let row = 1; row <= last; row++) {
    const mine = (byRow.get(row) ?? []).sort((a, b) => (a.place ?? 0) - (b.place ?? 0));
    const taken = new Set(mine.map((t) => t.place));
    const places = Array.from({ length: draw ? bench.places : 0 }, (_, i) => i + 1);
    all.push({ row, trees: mine, holes: places.filter((p) => !taken.has(p)) });
  }
  const loose = byRow.get(0);
  if (loose) all.push({ row: 0, trees: loose, holes: [] });
  return all;
}

// A bench of thousands: what of it is drawn, and the keyboard's way about it.

import { describe, expect, it } from "vitest";
import { neighbour } from "../sight";
import { AT_ONCE, partOf, slats, toward } from "./slats";
import { aTree } from "./testing";

const bench = (rows: number, places: number) => ({ id: "b", name: "South", rows, places, order: 0 });
const at = (tag: string, row: number | null, place: number | null) => aTree(tag, [], { row, place });

describe("what is drawn", () => {
  it("is what is in sight with a little on each side, and stays while it covers that", () => {
    const first = partOf({ top: 0, left: 0, rows: 6, columns: 5 }, undefined);
    expect(first).toEqual({ top: 0, bottom: 8, left: 1, right: 9 });
    expect(partOf({ top: 1.5, left: 1, rows: 6, columns: 5 }, first)).toBe(first);
    expect(partOf({ top: 50, left: 40, rows: 6.2, columns: 5 }, first)).toEqual({ top: 48, bottom: 59, left: 38, right: 49 });
  });

  it("is little where it moved on, and grows by a row and a column on each side until there is enough", () => {
    const sight = { top: 50, left: 40, rows: 6, columns: 5 };
    let part = partOf(sight, { top: 0, bottom: 9, left: 1, right: 11 }, AT_ONCE);
    expect(part).toEqual({ top: 49, bottom: 57, left: 39, right: 48 });
    const goal = partOf(sight, undefined);
    part = toward(part, goal);
    expect(part).toEqual({ top: 48, bottom: 58, left: 38, right: 49 });
    expect(toward(part, goal)).toBe(part);
    expect(toward({ ...part, left: 30 }, goal).left).toBe(31);
  });

  it("finds each tree's row and column, and lays two on one place side by side", () => {
    const { all, at: where, columns } = slats(bench(2, 3), [at("K1", 1, 2), at("K2", 1, 2), at("K3", 2, 9)]);
    expect(all[0]?.pots.map((p) => [p.tree.tag, p.column])).toEqual([["K1", 2], ["K2", 3]]);
    expect([where("id-K2"), where("id-K3"), where("id-K4"), columns]).toEqual([{ slat: 0, column: 3 }, { slat: 1, column: 9 }, undefined, 9]);
  });

  it("has all its rows, and no place called empty, where only some of the trees are known", () => {
    const some = [at("K1", 1, 2), at("K2", 2, 1)];
    expect(slats(bench(3, 3), some).all.map((s) => s.holes)).toEqual([[1, 3], [2, 3]]);
    expect(slats(bench(3, 3), some, false).all.map((s) => s.holes)).toEqual([[], [], []]);
  });

  it("lays trees without a place out in rows of ten", () => {
    const loose = Array.from({ length: 23 }, (_, n) => at(`K${n}`, null, null));
    const { all, columns } = slats(bench(1, 4), loose);
    expect(all.map((s) => [s.row, s.pots.length])).toEqual([[0, 10], [0, 10], [0, 3]]);
    expect(columns).toBe(10);
  });
});

describe("the keyboard", () => {
  const rows = slats(bench(3, 3), [at("K1", 1, 1), at("K2", 1, 3), at("K3", 3, 2), at("K4", 3, 3)]);
  it.each([
    ["K1", "ArrowRight", "K2"],
    ["K1", "ArrowLeft", undefined],
    ["K2", "ArrowDown", "K4"],
    ["K4", "ArrowUp", "K2"],
    ["K2", "Home", "K1"],
    ["K3", "End", "K4"],
    ["K1", "PageDown", "K3"],
    ["K1", "x", undefined],
  ])("from %s by %s to %s", (from, key, to) => {
    expect(neighbour(rows, `id-${from}`, key)).toBe(to && `id-${to}`);
  });
});

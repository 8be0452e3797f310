import { expect, test } from "vitest";
import { firstUnseen, gaps, holding, joined, losing, taking, type Range } from "./ranges";

const HOUR = 3600_000;
const range = (from: number, to: number, at = 1, seen: 0 | 1 = 0): Range => ({ from, to, at, seen });

test("numbers that follow each other are one range, whatever their order", () => {
  expect(taking([], [3, 1, 2, 7], 5)).toEqual([range(1, 3, 5), range(7, 7, 5)]);
  expect(taking([range(1, 3), range(7, 9)], [5, 4, 6], 5)).toEqual([range(1, 9, 5)]);
});

test("what was acknowledged long after, or is not seen, stays apart", () => {
  expect(taking([range(1, 3, HOUR)], [4], 7 * HOUR)).toEqual([range(1, 4, 7 * HOUR)]);
  expect(taking([range(1, 3, HOUR)], [4], 7 * HOUR + 1)).toEqual([range(1, 3, HOUR), range(4, 4, 7 * HOUR + 1)]);
  expect(taking([range(1, 3, 5, 1)], [4], 5)).toEqual([range(1, 3, 5, 1), range(4, 4, 5)]);
  expect(joined([range(1, 3, 0, 1), range(4, 6, 5, 1)])).toEqual([range(1, 3, 0, 1), range(4, 6, 5, 1)]);
});

test("a lost number leaves a hole, at either end or between", () => {
  expect(losing([range(1, 9)], [5, 1, 9, 6])).toEqual([range(2, 4), range(7, 8)]);
  expect(losing([range(1, 2), range(4, 4)], [4, 3])).toEqual([range(1, 2)]);
});

test("a number is found in its range, and in none where it waits", () => {
  const ranges = [range(1, 3), range(7, 9), range(11, 11)];
  expect([1, 3, 4, 6, 7, 9, 10, 11, 12].map((seq) => holding(ranges, seq)?.from)).toEqual([
    1, 1, undefined, undefined, 7, 7, undefined, 11, undefined,
  ]);
});

test("what waits lies in the gaps, and behind the last range", () => {
  expect(gaps([])).toEqual([[1, Infinity]]);
  expect(gaps([range(1, 3), range(7, 9)])).toEqual([[4, 6], [10, Infinity]]);
  expect(gaps([range(2, 2)])).toEqual([[1, 1], [3, Infinity]]);
});

test("the first unseen number waits, or was acknowledged after the last fetch", () => {
  expect(firstUnseen([])).toBe(1);
  expect(firstUnseen([range(1, 3, 0, 1), range(4, 6, 5, 1), range(7, 9, 5)])).toBe(7);
  expect(firstUnseen([range(1, 3, 5, 1), range(5, 9, 5, 1)])).toBe(4);
});

import { expect, test } from "vitest";
import vectors from "../../../../tests/vectors/doubt.json";
import { doubtOf } from "./doubt";

test.each(vectors)("of a tree with $p, not looked at: $not_looked", ({ p, not_looked, doubt }) => {
  expect(doubtOf(p, not_looked)).toBe(doubt);
});

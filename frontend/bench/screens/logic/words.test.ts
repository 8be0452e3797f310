import { expect, test } from "vitest";
import { chance } from "./words";

test("a chance is never told as certain", () => {
  expect([0, 0.0049, 0.005, 0.554, 0.9949, 0.995, 1].map(chance)).toEqual([
    "<1%",
    "<1%",
    "1%",
    "55%",
    "99%",
    ">99%",
    ">99%",
  ]);
});

// What is reckoned to be in sight is what was counted on screenshots of the bench.

import { afterEach, expect, it, vi } from "vitest";
import { screenful } from "./screenful";

afterEach(() => {
  vi.unstubAllGlobals();
  document.documentElement.style.fontSize = "";
});

function screen(innerWidth: number, innerHeight: number, text = "16px"): void {
  vi.stubGlobal("innerWidth", innerWidth);
  vi.stubGlobal("innerHeight", innerHeight);
  document.documentElement.style.fontSize = text;
}

it.each([
  ["a phone, few questions", 390, 844, "low", { rows: 7, columns: 5 }],
  ["a phone, all questions", 390, 844, "high", { rows: 5, columns: 5 }],
  ["a small phone", 360, 640, "low", { rows: 4, columns: 5 }],
  ["a tablet", 768, 1024, "low", { rows: 10, columns: 11 }],
  ["a desk, the sheet beside the bench", 1280, 800, "high", { rows: 11, columns: 12 }],
] as const)("of %s (%d x %d)", (_, width, height, sheet, seen) => {
  screen(width, height);
  expect(screenful(sheet)).toEqual(seen);
});

it("of large text fewer, and never less than the tree and its neighbours", () => {
  screen(390, 844, "24px");
  expect(screenful("low")).toEqual({ rows: 3, columns: 4 });
  screen(200, 300, "24px");
  expect(screenful("high")).toEqual({ rows: 2, columns: 2 });
});

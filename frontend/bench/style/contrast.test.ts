// Every text tone against its grounds: at least 7:1 (WCAG 2.2, success criterion 1.4.6).

import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";

const css = readFileSync(resolve(import.meta.dirname, "tokens.css"), "utf8");

function tokens(text: string): Map<string, string> {
  return new Map([...text.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6})/g)].map((m) => [m[1] ?? "", m[2] ?? ""]));
}

/** Relative luminance of "#rrggbb" (WCAG 2.2, definition of relative luminance). */
function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5]
    .map((at) => parseInt(hex.slice(at, at + 2), 16) / 255)
    .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [dark = 0, light = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (light + 0.05) / (dark + 0.05);
}

const PAIRS: [text: string, ground: string][] = [
  ["ink", "paper"], ["ink", "sheet"], ["soft", "paper"], ["soft", "sheet"],
  ["due", "paper"], ["due", "sheet"], ["due", "due-ground"], ["ink", "due-ground"],
  ["stop", "paper"], ["stop", "sheet"], ["on-stop", "stop"], ["on-pine", "pine"],
  ["paper", "ink"], ["sheet", "due"], ["ink", "line"],
];

/** The text from a line that holds `from` to the brace that ends its block. */
function block(from: string): string {
  const start = css.indexOf(from);
  return css.slice(start, css.indexOf("}", start));
}

const LIGHT = tokens(block(":root {"));
const DARK = tokens(block(':root:not([data-light="light"])'));
const CHOSEN = tokens(block(':root[data-light="dark"]'));

describe.each([
  ["light", LIGHT],
  ["dark", DARK],
])("tones in the %s", (_name, tone) => {
  it.each(PAIRS)("%s on %s", (text, ground) => {
    expect(contrast(tone.get(text) ?? "", tone.get(ground) ?? "")).toBeGreaterThanOrEqual(7);
  });
});

it("has the same dark tones where the phone is dark and where the grower chose it", () => {
  expect(DARK.size).toBe(11);
  expect([...CHOSEN]).toEqual([...DARK]);
});

it("measures black on white as 21", () => {
  expect(contrast("#000000", "#ffffff")).toBeCloseTo(21, 5);
});

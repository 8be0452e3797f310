// The root survey's circle: twelve sectors, 0 degrees at the front of the tree, clockwise from above.

import type { Root } from "../../model/types";
import { t, word } from "../../words";

export const SECTORS = 12;
const SIDES = [
  word("front"), word("front left"), word("left front"), word("left"), word("left back"), word("back left"),
  word("back"), word("back right"), word("right back"), word("right"), word("right front"), word("front right"),
];

export function degrees(sector: number): number {
  return (sector * 360) / SECTORS;
}

/** The side of the tree that a sector lies on, seen from above with the front towards you. */
export function side(sector: number): string {
  const known = SIDES[sector];
  return known ? t(known) : "";
}

/** Where to draw a sector, in percent of the box: the front is at the bottom, towards the grower. */
export function spot(sector: number, radius: number): { x: number; y: number } {
  const angle = (degrees(sector) * Math.PI) / 180;
  return { x: 50 - radius * Math.sin(angle), y: 50 + radius * Math.cos(angle) };
}

/** The widest arc without a root [degrees]; 360 with one root or none. */
export function largestGap(roots: readonly Root[]): number {
  const at = [...new Set(roots.map((r) => r.deg))].sort((a, b) => a - b);
  const first = at[0];
  if (first === undefined || at.length < 2) return 360;
  return Math.max(...at.map((deg, i) => (at[i + 1] ?? first + 360) - deg));
}

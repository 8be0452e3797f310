// The root survey's circle: twelve sectors, 0 degrees at the front of the tree, clockwise from above.

import type { Root } from "../../model/types";

export const SECTORS = 12;
const SIDES = ["front", "front left", "left front", "left", "left back", "back left",
  "back", "back right", "right back", "right", "right front", "front right"];

export function degrees(sector: number): number {
  return (sector * 360) / SECTORS;
}

/** The side of the tree that a sector lies on, seen from above with the front towards you. */
export function side(sector: number): string {
  return SIDES[sector] ?? "";
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

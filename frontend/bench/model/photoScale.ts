// A trunk's diameter from a picture with a printed tag in it: the phone's twin of nursery/science/photo_scale.py, by
// shared vectors. What the numbers mean and where they come from stands there.

import type { Corners, Spot } from "./photoCorners";

export const CORNER_SD_PX = 1.0;
export const TAP_SD_PX = 1.0;
export const SCALE_SD = 0.005;
export const REACH = 1.96;
export const LEAST_EDGE_PX = 60;
export const LEAST_SQUARENESS = 0.5;
export const FOCAL = 26 / 36;
const STEP_PX = 0.25;

export interface PhotoReading { mm: number; sd_mm: number; low_mm: number; high_mm: number; distance_mm: number }
/** Why there is no reading; the screen has the words. */
export type Unread = "no_code" | "come_nearer" | "aslant";
export type Taps = readonly [Spot, Spot];

export function unfit(corners: Corners): Unread | undefined {
  const along = corners.map(([x, y], i) => {
    const [nx, ny] = corners[(i + 1) % 4]!;
    return [nx - x, ny - y] as const;
  });
  const turns = along.map(([x, y], i) => {
    const [nx, ny] = along[(i + 1) % 4]!;
    return x * ny - y * nx;
  });
  if (!turns.every((turn) => turn > 0)) return "no_code";
  const lengths = along.map(([x, y]) => Math.hypot(x, y));
  const [least, most] = [Math.min(...lengths), Math.max(...lengths)];
  if (least < LEAST_EDGE_PX) return "come_nearer";
  return least / most < LEAST_SQUARENESS ? "aslant" : undefined;
}

/** Where a point of the picture lies on the tag's plane [mm]: the map of the square onto the corners, turned round. */
export function onPlane(corners: Corners, edge: number, [x, y]: Spot): Spot {
  const [[x0, y0], [x1, y1], [x2, y2], [x3, y3]] = corners;
  const [d1x, d1y, d2x, d2y] = [x1 - x2, y1 - y2, x3 - x2, y3 - y2];
  const [sx, sy] = [x0 - x1 + x2 - x3, y0 - y1 + y2 - y3];
  const det = d1x * d2y - d2x * d1y;
  const g = (sx * d2y - d2x * sy) / det;
  const h = (d1x * sy - sx * d1y) / det;
  const [a, b, c] = [x1 - x0 + g * x1, x3 - x0 + h * x3, x0];
  const [d, e, f] = [y1 - y0 + g * y1, y3 - y0 + h * y3, y0];
  // The adjugate does for the inverse: a projective map has no scale of its own.
  const u = (e - f * h) * x + (c * h - b) * y + (b * f - c * e);
  const v = (f * g - d) * x + (a - c * g) * y + (c * d - a * f);
  const w = (d * h - e * g) * x + (b * g - a * h) * y + (a * e - b * d);
  return [(edge * u) / w, (edge * v) / w];
}

function apart(corners: Corners, edge: number, [one, two]: Taps): number {
  const [a, b] = [onPlane(corners, edge, one), onPlane(corners, edge, two)];
  return Math.hypot(b[0] - a[0], b[1] - a[1]);
}

/** How the diameter changes with each coordinate of the corners (0-7) and the taps (8-11). [mm/px] */
function slopes(corners: Corners, edge: number, taps: Taps): number[] {
  const all = [...corners, ...taps].flat();
  const read = (values: readonly number[]) => {
    const spots = Array.from({ length: 6 }, (_, i): Spot => [values[2 * i]!, values[2 * i + 1]!]);
    return apart(spots.slice(0, 4) as unknown as Corners, edge, [spots[4]!, spots[5]!]);
  };
  return all.map((_, i) => {
    const moved = (step: number) => read(all.map((value, k) => (k === i ? value + step : value)));
    return (moved(STEP_PX) - moved(-STEP_PX)) / (2 * STEP_PX);
  });
}

/** `cov`: of the corners' eight coordinates, row by row [px^2]; absent: a decoder's whole pixels. */
export function readDiameter(
  corners: Corners, edge: number, taps: Taps, longerSide: number, cov?: readonly number[],
): PhotoReading {
  const mm = apart(corners, edge, taps);
  const by = slopes(corners, edge, taps);
  let variance = (SCALE_SD * mm) ** 2;
  for (let i = 0; i < 8; i++) {
    for (let k = 0; k < 8; k++) {
      variance += by[i]! * by[k]! * (cov ? cov[8 * i + k]! : i === k ? CORNER_SD_PX ** 2 : 0);
    }
  }
  for (let i = 8; i < 12; i++) variance += (TAP_SD_PX * by[i]!) ** 2;
  const sd = Math.sqrt(variance);
  const side = corners.reduce((sum, [x, y], i) => {
    const [nx, ny] = corners[(i + 1) % 4]!;
    return sum + Math.hypot(nx - x, ny - y) / 4;
  }, 0);
  return {
    mm, sd_mm: sd, low_mm: Math.max(0, mm - REACH * sd), high_mm: mm + REACH * sd,
    distance_mm: (FOCAL * longerSide * edge) / side,
  };
}

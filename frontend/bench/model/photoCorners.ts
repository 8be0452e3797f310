// Where exactly a code lies in a picture: the phone's twin of nursery/science/photo_corners.py, by shared vectors.
// Each border between a dark and a light square says where it lies; the four corners are moved until all fit.

export type Spot = readonly [x: number, y: number];
/** Top left, top right, bottom right, bottom left, as printed. [px] */
export type Corners = readonly [Spot, Spot, Spot, Spot];
/** Brightness, row by row. The middle of the first pixel is (0.5, 0.5). */
export interface Grey { width: number; height: number; data: ArrayLike<number> }
/** `cov`: of the eight coordinates, row by row [px^2]. */
export interface Found { at: Corners; cov: number[]; borders: number }

const SIZES = [21, 25, 29, 33, 37];
const SAMPLES = 15;
const ROUNDS = 4;
const ODD = 3;
const LEAST_SD_PX = 0.05;
const LEAST_BORDERS = 40;
const STEP_PX = 0.25;

/** A border's middle on the unit square, and the way across it. */
interface Border { u: number; v: number; du: number; dv: number }

/** Corners as exactly as the picture gives them; undefined where no code lies within them. */
export function refine(grey: Grey, rough: Corners): Found | undefined {
  const dark = bitsOf(grey, rough);
  if (!dark) return undefined;
  const borders = bordersOf(dark);
  let at = rough.flat();
  let found: Found | undefined;
  for (let round = 0; round < ROUNDS; round++) {
    const seen = measure(grey, at, borders);
    if (seen.length < LEAST_BORDERS) return undefined;
    const inverse = inverted(normalOf(seen));
    const pull = Array.from({ length: 8 }, (_, i) => sum(seen, ({ off, row }) => row[i]! * off));
    const step = inverse.map((row) => row.reduce((total, value, k) => total + value * pull[k]!, 0));
    at = at.map((value, i) => value + step[i]!);
    const left = sum(seen, ({ off, row }) => (off - row.reduce((total, value, k) => total + value * step[k]!, 0)) ** 2);
    const spread = left / (seen.length - 8);
    const cov = inverse.flatMap((row, i) => row.map((value, k) => value * spread + (i === k ? LEAST_SD_PX ** 2 : 0)));
    found = { at: cornersOf(at), cov, borders: seen.length };
  }
  return found;
}

function cornersOf(at: readonly number[]): Corners {
  return [[at[0]!, at[1]!], [at[2]!, at[3]!], [at[4]!, at[5]!], [at[6]!, at[7]!]];
}

function sum<T>(rows: readonly T[], of: (row: T) => number): number {
  let total = 0;
  for (const row of rows) total += of(row);
  return total;
}

/** A map of the unit square onto corners given as eight numbers (Heckbert 1989, section 2.2.3). */
function mapOf(at: readonly number[]): (u: number, v: number) => Spot {
  const [x0, y0, x1, y1, x2, y2, x3, y3] = at as [number, number, number, number, number, number, number, number];
  const [d1x, d1y, d2x, d2y] = [x1 - x2, y1 - y2, x3 - x2, y3 - y2];
  const [sx, sy] = [x0 - x1 + x2 - x3, y0 - y1 + y2 - y3];
  const det = d1x * d2y - d2x * d1y;
  const g = (sx * d2y - d2x * sy) / det;
  const h = (d1x * sy - sx * d1y) / det;
  return (u, v) => {
    const w = g * u + h * v + 1;
    return [((x1 - x0 + g * x1) * u + (x3 - x0 + h * x3) * v + x0) / w, ((y1 - y0 + g * y1) * u + (y3 - y0 + h * y3) * v + y0) / w];
  };
}

function brightness({ width, height, data }: Grey, [px, py]: Spot): number {
  const x = Math.min(Math.max(px - 0.5, 0), width - 1.001);
  const y = Math.min(Math.max(py - 0.5, 0), height - 1.001);
  const [left, top] = [Math.floor(x), Math.floor(y)];
  const [fx, fy] = [x - left, y - top];
  const at = top * width + left;
  const upper = data[at]! * (1 - fx) + data[at + 1]! * fx;
  const lower = data[at + width]! * (1 - fx) + data[at + width + 1]! * fx;
  return upper * (1 - fy) + lower * fy;
}

const FINDER = Array.from({ length: 7 }, (_, r) =>
  Array.from({ length: 7 }, (_, c) => [r, c].some((i) => i === 0 || i === 6) || (r > 1 && r < 5 && c > 1 && c < 5)),
);

/** The code's squares, dark is true, by the first size whose three finder patterns are seen. */
function bitsOf(grey: Grey, corners: Corners): boolean[][] | undefined {
  const map = mapOf(corners.flat());
  for (const size of SIZES) {
    const seen = Array.from({ length: size }, (_, r) =>
      Array.from({ length: size }, (_, c) => brightness(grey, map((c + 0.5) / size, (r + 0.5) / size))),
    );
    const flat = seen.flat();
    const half = (Math.min(...flat) + Math.max(...flat)) / 2;
    const dark = seen.map((row) => row.map((value) => value < half));
    const ends = size - 7;
    const wrong = [[0, 0], [0, ends], [ends, 0]].reduce(
      (total, [top, left]) =>
        total + sum(FINDER.map((row, r) => row.filter((want, c) => dark[top! + r]![left! + c] !== want).length), (n) => n),
      0,
    );
    if (wrong <= 12) return dark;
  }
  return undefined;
}

function bordersOf(dark: boolean[][]): Border[] {
  const size = dark.length;
  const is = (r: number, c: number) => dark[r]?.[c] ?? false;
  const borders: Border[] = [];
  for (let r = 0; r < size; r++) {
    for (let c = 0; c <= size; c++) {
      if (is(r, c - 1) !== is(r, c)) borders.push({ u: c / size, v: (r + 0.5) / size, du: 1 / size, dv: 0 });
    }
  }
  for (let r = 0; r <= size; r++) {
    for (let c = 0; c < size; c++) {
      if (is(r - 1, c) !== is(r, c)) borders.push({ u: (c + 0.5) / size, v: r / size, du: 0, dv: 1 / size });
    }
  }
  return borders;
}

interface Seen { off: number; row: number[] }

/** How far each border lies from where the corners put it, along its normal [px], and how that changes with them. */
function measure(grey: Grey, at: readonly number[], borders: readonly Border[]): Seen[] {
  const map = mapOf(at);
  const steps = at.flatMap((_, i) =>
    [STEP_PX, -STEP_PX].map((step) => mapOf(at.map((value, k) => (k === i ? value + step : value)))),
  );
  const profiles = borders.map(({ u, v, du, dv }) => {
    const line = Array.from({ length: SAMPLES }, (_, i) => {
      const t = i / (SAMPLES - 1) - 0.5;
      return brightness(grey, map(u + t * du, v + t * dv));
    });
    const third = Math.floor(SAMPLES / 3);
    const before = sum(line.slice(0, third), (value) => value) / third;
    const behind = sum(line.slice(-third), (value) => value) / third;
    return { jump: before - behind, over: sum(line, (value) => value) / SAMPLES - (before + behind) / 2 };
  });
  const usual = median(profiles.map(({ jump }) => Math.abs(jump)));
  const seen: Seen[] = [];
  borders.forEach(({ u, v, du, dv }, i) => {
    const { jump, over } = profiles[i]!;
    if (Math.abs(jump) <= 0.35 * usual) return;
    const share = over / jump;
    const [ax, ay] = map(u - dv / 2, v - du / 2);
    const [bx, by] = map(u + dv / 2, v + du / 2);
    const length = Math.hypot(bx - ax, by - ay);
    const [nx, ny] = [-(by - ay) / length, (bx - ax) / length];
    const across = ([x, y]: Spot, [hx, hy]: Spot) => (x - hx) * nx + (y - hy) * ny;
    const off = across(map(u + share * du, v + share * dv), map(u, v));
    const row = at.map((_, k) => across(steps[2 * k]!(u, v), steps[2 * k + 1]!(u, v)) / (2 * STEP_PX));
    seen.push({ off, row });
  });
  const middle = median(seen.map(({ off }) => off));
  const spread = 1.4826 * median(seen.map(({ off }) => Math.abs(off - middle))) + 0.02;
  return seen.filter(({ off }) => Math.abs(off - middle) < ODD * spread);
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

function normalOf(seen: readonly Seen[]): number[][] {
  return Array.from({ length: 8 }, (_, i) => Array.from({ length: 8 }, (_, k) => sum(seen, ({ row }) => row[i]! * row[k]!)));
}

/** Gauss-Jordan with pivots. */
function inverted(matrix: readonly (readonly number[])[]): number[][] {
  const n = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...Array.from({ length: n }, (_, k) => (k === i ? 1 : 0))]);
  for (let i = 0; i < n; i++) {
    let best = i;
    for (let k = i + 1; k < n; k++) if (Math.abs(rows[k]![i]!) > Math.abs(rows[best]![i]!)) best = k;
    [rows[i], rows[best]] = [rows[best]!, rows[i]!];
    const pivot = rows[i]![i]!;
    rows[i] = rows[i]!.map((value) => value / pivot);
    for (let k = 0; k < n; k++) {
      if (k === i) continue;
      const factor = rows[k]![i]!;
      rows[k] = rows[k]!.map((value, c) => value - factor * rows[i]![c]!);
    }
  }
  return rows.map((row) => row.slice(n));
}

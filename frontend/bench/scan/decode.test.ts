import { readFileSync } from "node:fs";
import { beforeAll, expect, test, vi } from "vitest";
import { findAnyCodes, findCodes } from "./decode";

/** MISHO.220.9F3A61C2.K041D as another program drew it (segno, version 2-Q). */
const CODE = [
  "#######.#####.###.#######",
  "#.....#.#.#..##...#.....#",
  "#.###.#..##.##.#..#.###.#",
  "#.###.#...##......#.###.#",
  "#.###.#..##....##.#.###.#",
  "#.....#..####..##.#.....#",
  "#######.#.#.#.#.#.#######",
  ".........#.##.#..........",
  ".#....####.##..#.#.....##",
  "#.##...####..#..#.###..#.",
  "##.#.###...#.######.#.##.",
  ".......##.####....#....##",
  "#..#..#....#.#.###.##.##.",
  "#.#..#..#.........#.#.#.#",
  "#..####.##.#####.##..#..#",
  "#..#.#....#..##..#.##..#.",
  "#..####.#..##.#.######.#.",
  "........#...#...#...#..#.",
  "#######.###.#...#.#.##.##",
  "#.....#...##...##...###.#",
  "#.###.#..##.#.#.########.",
  "#.###.#..####......#..#.#",
  "#.###.#...###...#....#..#",
  "#.....#.#.####..#.#.#....",
  "#######..###..#...##.#.##",
];
const SIDE = 8;
const EDGE = CODE.length * SIDE;

/** Pixels as the decoder takes them; the tests' own document draws none. */
function asImage(data: Uint8ClampedArray, width: number, height: number): ImageData {
  return { data, width, height, colorSpace: "srgb", [Symbol.toStringTag]: "ImageData" } as unknown as ImageData;
}

/** The code with its upper left corner at (x, y) of a light picture; `turn`: quarter turns to the right. */
function picture(width: number, height: number, x: number, y: number, turn = 0): ImageData {
  const pixels = new Uint8ClampedArray(width * height * 4).fill(255);
  for (let down = 0; down < EDGE; down++) {
    for (let along = 0; along < EDGE; along++) {
      const [r, c] = [Math.floor(down / SIDE), Math.floor(along / SIDE)];
      const last = CODE.length - 1;
      const [row, column] = [[r, c], [last - c, r], [last - r, last - c], [c, last - r]][turn]!;
      if (CODE[row!]![column!] === "#") pixels.fill(0, ((y + down) * width + x + along) * 4, ((y + down) * width + x + along) * 4 + 3);
    }
  }
  return asImage(pixels, width, height);
}

beforeAll(() => {
  // The app's own file, as the shed would serve it; anything else would be a request to elsewhere.
  vi.stubGlobal("fetch", async (address: string) => {
    if (!/^\/node_modules\/zxing-wasm\/.+\.wasm$/.test(String(address))) throw new Error(`asked for ${address}`);
    return new Response(readFileSync(`.${address}`), { headers: { "Content-Type": "application/wasm" } });
  });
  return () => vi.unstubAllGlobals();
});

const [left, top, right, bottom] = [150, 70, 150 + EDGE, 70 + EDGE];
const SQUARE = [[left, top], [right, top], [right, bottom], [left, bottom]] as const;

test.each([0, 1, 2, 3])("the corners are the outer ones, in the code's own order, at %i quarter turns", async (turn) => {
  const [code, ...more] = await findCodes(picture(640, 480, left, top, turn));
  expect(more).toEqual([]);
  expect(code!.text).toBe("MISHO.220.9F3A61C2.K041D");
  code!.corners.forEach(({ x, y }, at) => {
    const [wantX, wantY] = SQUARE[(at + turn) % 4]!;
    expect([Math.abs(x - wantX) <= 1, Math.abs(y - wantY) <= 1]).toEqual([true, true]);
  });
});

test("a picture without a code gives none", async () => {
  const empty = asImage(new Uint8ClampedArray(64 * 64 * 4).fill(200), 64, 64);
  expect(await findCodes(empty)).toEqual([]);
  expect(await findAnyCodes(empty)).toEqual([]);
});

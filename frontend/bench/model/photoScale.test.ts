// @vitest-environment node
import { describe, expect, it } from "vitest";
import vectors from "../../../tests/vectors/photo_scale.json";
import { refine, type Corners, type Spot } from "./photoCorners";
import { readDiameter, unfit, type Taps } from "./photoScale";

const square = (size: number, x = 100, y = 100): Corners => [[x, y], [x + size, y], [x + size, y + size], [x, y + size]];

describe("a diameter from a picture", () => {
  it.each(vectors.readings)("is what the shed reads: $name", (one) => {
    const told = readDiameter(
      one.corners as unknown as Corners, one.edge_mm, one.taps as unknown as Taps, one.longer_side_px, one.corner_cov ?? undefined,
    );
    for (const name of ["mm", "sd_mm", "low_mm", "high_mm", "distance_mm"] as const) {
      expect(Math.abs(told[name] / one[name] - 1), name).toBeLessThan(1e-8);
    }
  });

  it("needs a code that is near enough and held flat", () => {
    expect(unfit(square(200))).toBeUndefined();
    expect(unfit(square(59))).toBe("come_nearer");
    expect(unfit([[0, 0], [300, 0], [300, 100], [0, 100]])).toBe("aslant");
    expect(unfit([...square(200)].reverse() as unknown as Corners)).toBe("no_code");
  });
});

describe("corners", () => {
  const { width, height, grey, rough, corners, borders, cov00 } = vectors.picture;
  const picture = { width, height, data: Uint8Array.from(atob(grey), (letter) => letter.charCodeAt(0)) };

  it("are found where the shed finds them", () => {
    const found = refine(picture, rough as unknown as Corners)!;
    found.at.flat().forEach((value, i) => expect(Math.abs(value - (corners.flat()[i] as number))).toBeLessThan(1e-5));
    expect(found.borders).toBe(borders);
    expect(Math.abs(found.cov[0]! / cov00 - 1)).toBeLessThan(1e-5);
  });

  it("are not made up where no code lies", () => {
    const away: Spot[] = [[5, 5], [40, 5], [40, 40], [5, 40]];
    expect(refine(picture, away as unknown as Corners)).toBeUndefined();
    expect(refine({ width: 90, height: 90, data: new Uint8Array(8100).fill(80) }, square(40, 20, 20))).toBeUndefined();
  });
});

// The printed tag in a picture just taken: which code it is, and where exactly its corners lie.

import { readCode } from "../model/codes";
import { refine, type Corners } from "../model/photoCorners";
import { unfit, type Unread } from "../model/photoScale";

/** `at` and `cov` in points of the picture; `width`, `height`: its size. */
export interface TagInPicture { tag: string; edge: number; at: Corners; cov: number[]; width: number; height: number }

/** The nearest of our tags in it, or why none is of use. The decoder is loaded only here. */
export async function tagIn(data: ArrayBuffer): Promise<TagInPicture | Unread> {
  const bitmap = await createImageBitmap(new Blob([data], { type: "image/jpeg" }));
  const canvas = document.createElement("canvas");
  const { width, height } = bitmap;
  canvas.width = width;
  canvas.height = height;
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  pen?.drawImage(bitmap, 0, 0);
  bitmap.close();
  if (!pen) return "no_code";
  const image = pen.getImageData(0, 0, width, height);
  canvas.width = canvas.height = 0;
  const { findCodes } = await import("../scan/decode");
  const ours = (await findCodes(image)).flatMap(({ text, corners }) => {
    const code = readCode(text);
    return code ? [{ code, corners: corners.map(({ x, y }) => [x, y]) as unknown as Corners }] : [];
  });
  // The larger in the picture, the better the scale.
  ours.sort((a, b) => size(b.corners) - size(a.corners));
  const best = ours[0];
  if (!best) return "no_code";
  const wrong = unfit(best.corners);
  if (wrong) return wrong;
  const exact = refine({ width, height, data: greyOf(image) }, best.corners);
  if (!exact) return "no_code";
  return { tag: best.code.tag, edge: best.code.edge_mm, at: exact.at, cov: exact.cov, width, height };
}

function size([[x0, y0], , [x2, y2]]: Corners): number {
  return Math.hypot(x2 - x0, y2 - y0);
}

/** Brightness by ITU-R BT.601. */
export function greyOf({ data }: ImageData): Uint8Array {
  const grey = new Uint8Array(data.length / 4);
  for (let i = 0; i < grey.length; i++) {
    grey[i] = 0.299 * data[4 * i]! + 0.587 * data[4 * i + 1]! + 0.114 * data[4 * i + 2]!;
  }
  return grey;
}

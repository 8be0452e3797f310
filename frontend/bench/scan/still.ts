// Codes of a picture that the phone's own camera app took.

import { findAnyCodes } from "./decode";
import type { Frame } from "./camera";

/** Tried one after the other: a code that is lost in one size is often plain in another. [px] */
const LONG_SIDES = [1600, 800, 3200];

async function at(bitmap: ImageBitmap, side: number): Promise<Frame | undefined> {
  const scale = Math.min(1, side / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  if (!pen) return undefined;
  pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  const codes = await findAnyCodes(pen.getImageData(0, 0, canvas.width, canvas.height));
  return codes.length ? { codes, width: canvas.width, height: canvas.height } : undefined;
}

/** The codes of a picture; undefined where none can be read. Rejects where the file is no picture. */
export async function readStill(file: Blob): Promise<Frame | undefined> {
  const bitmap = await createImageBitmap(file);
  try {
    for (const side of LONG_SIDES) {
      const frame = await at(bitmap, side);
      if (frame) return frame;
    }
    return undefined;
  } finally {
    bitmap.close();
  }
}

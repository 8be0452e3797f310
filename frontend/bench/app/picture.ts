// From what the camera gives to what is kept: upright, at most 2048 points long, without the camera's own notes.

import { t } from "../words";
import type { Fault } from "./desk";

export const LONG_SIDE = 2048;
const QUALITY = 0.82;

export interface Picture { data: ArrayBuffer; sha256: string; width: number; height: number }

/** The size that it gets; never larger than it is. */
export function fitted(width: number, height: number, longest = LONG_SIDE): { width: number; height: number } {
  const scale = Math.min(1, longest / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

/** A file that this phone cannot make a picture of, in words for the grower. */
export class NoPicture extends Error implements Fault {
  constructor(message: string, readonly mend: string) {
    super(message);
  }
}

/** Decode, turn upright, scale, and write anew. Rejects with NoPicture. */
export async function pictureOf(file: Blob): Promise<Picture> {
  if (!globalThis.crypto?.subtle) {
    throw new NoPicture(t("Pictures need the shed's https address."), t("Open Misho there; notes can be written here."));
  }
  const bitmap = await decoded(file);
  try {
    const { width, height } = fitted(bitmap.width, bitmap.height);
    const data = await (await drawn(bitmap, width, height)).arrayBuffer();
    return { data, sha256: await sha256(data), width, height };
  } finally {
    bitmap.close();
  }
}

async function decoded(file: Blob): Promise<ImageBitmap> {
  try {
    return await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    throw new NoPicture(t("This file is no picture that this phone can read."), t("Take the picture again."));
  }
}

async function drawn(bitmap: ImageBitmap, width: number, height: number): Promise<Blob> {
  const canvas = document.createElement("canvas");
  canvas.width = width;
  canvas.height = height;
  const pen = canvas.getContext("2d");
  if (pen) {
    // What is see-through in a drawing is white on paper.
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, width, height);
    pen.imageSmoothingQuality = "high";
    pen.drawImage(bitmap, 0, 0, width, height);
  }
  const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
  // Safari keeps canvases long after they are gone, and has room for few.
  canvas.width = canvas.height = 0;
  if (!blob) {
    throw new NoPicture(t("This phone has no memory left to work on the picture."), t("Close other apps, then take it again."));
  }
  return blob;
}

export async function sha256(data: BufferSource): Promise<string> {
  const hash = await crypto.subtle.digest("SHA-256", data);
  return [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

// The file that carries records to the shed when no network does.

import { sha256 } from "../../app/picture";
import type { Me, RecordOut } from "../../model/types";

/** "misho-handover-pocket-phone-2026-06-01.json"; where there are several, "...-2-of-3.json". */
export function fileName(phone: string, now: Date, part = 1, parts = 1): string {
  const plain = phone.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "phone";
  return `misho-handover-${plain}-${now.toISOString().slice(0, 10)}${parts > 1 ? `-${part}-of-${parts}` : ""}.json`;
}

/** Bytes of pictures in one file, before they are written as text: the shed takes files of 20 MB. */
export const PHOTOS_IN_FILE = 12 * 1024 * 1024;

export interface PhotoInFile { photo: string; sha256: string; bytes: number; data: string }

/** Which pictures go into which file: as many as fit, at least one each, in their order. */
export function parted<T extends { bytes: number }>(photos: readonly T[], most = PHOTOS_IN_FILE): T[][] {
  const files: T[][] = [[]];
  let bytes = 0;
  for (const photo of photos) {
    if (bytes + photo.bytes > most && files.at(-1)!.length) {
      files.push([]);
      bytes = 0;
    }
    files.at(-1)!.push(photo);
    bytes += photo.bytes;
  }
  return files;
}

/** Standard base64 (RFC 4648, section 4). */
export function base64(data: ArrayBuffer): string {
  const bytes = new Uint8Array(data);
  let text = "";
  // In steps: a call takes only so many arguments.
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text);
}

/**
 * The whole file as text. The hash is of the records' own text, as it stands in the file; pictures stand behind
 * it, each with a hash of its own, so that a file cut short in them still brings its records.
 */
export async function handoverText(
  me: Me | undefined, records: readonly RecordOut[], photos: readonly PhotoInFile[] = [],
): Promise<string> {
  const list = JSON.stringify(records);
  const head = JSON.stringify({
    misho: "handover",
    v: 1,
    device: me?.device ?? null,
    name: me?.name ?? "",
    count: records.length,
  }).slice(0, -1);
  const pictures = photos.length ? `,"photos":${JSON.stringify(photos)}` : "";
  return `${head},"records":${list},"sha256":"${await sha256(new TextEncoder().encode(list))}"${pictures}}`;
}

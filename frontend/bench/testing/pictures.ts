// Pictures for the tests of store and sync: bytes that begin as a JPEG does.

import type { Draft } from "../model/types";
import { uuid } from "./rows";

export async function hex(data: BufferSource): Promise<string> {
  const hash = await crypto.subtle.digest("SHA-256", data);
  return [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The draft of picture number `n` of tree 1. */
export async function picture(n: number, size = 1000, first = 0xff): Promise<Draft> {
  const bytes = new Uint8Array(size).fill(n);
  bytes[0] = first;
  const body = { photo: uuid(5000 + n), sha256: await hex(bytes), bytes: size, width: 40, height: 30 };
  return { kind: "photo", tree: uuid(1), body, file: bytes.buffer };
}

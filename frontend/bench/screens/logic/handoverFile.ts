// The file that carries records to the shed when no network does.

import type { Me, RecordOut } from "../../model/types";

/** "misho-handover-pocket-phone-2026-06-01.json". */
export function fileName(phone: string, now: Date): string {
  const plain = phone.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "phone";
  return `misho-handover-${plain}-${now.toISOString().slice(0, 10)}.json`;
}

async function sha256(text: string): Promise<string> {
  const hash = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The whole file as text. The hash is of the records' own text, as it stands in the file. */
export async function handoverText(me: Me | undefined, records: readonly RecordOut[]): Promise<string> {
  const list = JSON.stringify(records);
  const head = JSON.stringify({
    misho: "handover",
    v: 1,
    device: me?.device ?? null,
    name: me?.name ?? "",
    count: records.length,
  }).slice(0, -1);
  return `${head},"records":${list},"sha256":"${await sha256(list)}"}`;
}

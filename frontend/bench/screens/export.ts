// Give what waits out as files: through the share sheet where there is one, else as downloads.

import { faultOf, type Desk } from "../app/desk";
import type { RecordOut } from "../model/types";
import type { StoredPhoto } from "../store";
import { base64, fileName, handoverText, parted, type PhotoInFile } from "./logic/handoverFile";

/** What waits of records and pictures; the records go into the first file, pictures into as many as they need. */
export async function exportWaiting(desk: Desk): Promise<void> {
  try {
    const files = await filesOf(desk, await desk.store.outbox(), await desk.store.photos.queue());
    if (navigator.canShare?.({ files })) await navigator.share({ files });
    else for (const file of files) download(file);
  } catch (error) {
    // The share sheet was closed by the grower: nothing went wrong.
    if (error instanceof DOMException && error.name === "AbortError") return;
    desk.fault.value = faultOf(error);
  }
}

export async function filesOf(
  desk: Desk, records: readonly RecordOut[], photos: readonly StoredPhoto[], now = new Date(),
): Promise<File[]> {
  const me = desk.me.value;
  const groups = parted(photos);
  const files: File[] = [];
  for (const [at, group] of groups.entries()) {
    const pictures: PhotoInFile[] = [];
    for (const { id, sha256, bytes } of group) {
      const data = await desk.store.photos.data(id);
      if (data) pictures.push({ photo: id, sha256, bytes, data: base64(data) });
    }
    const text = await handoverText(me, at ? [] : records, pictures);
    const name = fileName(me?.name ?? "", now, at + 1, groups.length);
    files.push(new File([text], name, { type: "application/json" }));
  }
  return files;
}

function download(file: File): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

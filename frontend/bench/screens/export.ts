// Give the waiting records out as a file: through the share sheet where there is one, else as a download.

import { faultOf, type Desk } from "../app/desk";
import { fileName, handoverText } from "./logic/handoverFile";

export async function exportWaiting(desk: Desk): Promise<void> {
  try {
    const me = desk.me.value;
    const text = await handoverText(me, await desk.store.outbox());
    const file = new File([text], fileName(me?.name ?? "", new Date()), { type: "application/json" });
    if (navigator.canShare?.({ files: [file] })) await navigator.share({ files: [file] });
    else download(file);
  } catch (error) {
    // The share sheet was closed by the grower: nothing went wrong.
    if (error instanceof DOMException && error.name === "AbortError") return;
    desk.fault.value = faultOf(error);
  }
}

function download(file: File): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

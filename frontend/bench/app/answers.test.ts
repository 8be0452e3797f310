import { effect } from "@preact/signals";
import { expect, it } from "vitest";
import type { LocalRecord } from "../model/types";
import { AnswerBook } from "./answers";

function soil(tree: string, seq: number, state: string): LocalRecord {
  const record = {
    id: `r${seq}`, device_seq: seq, kind: "soil_check" as const, v: 1 as const, tree, run: "w", observed_at: "2026-06-01T08:00:00Z",
    utc_offset_min: 0, hlc: String(seq), body: { state },
  };
  return { record: record as LocalRecord["record"], state: "waiting", withdrawn: false, reason: "", field: "", message: "", mend: "" };
}

it("who watches one tree hears of its answers alone, by a tap, by what was read anew and by another walk", () => {
  const book = new AnswerBook();
  const heard: (string | undefined)[] = [];
  const stop = effect(() => void heard.push(book.of("t1")?.soil?.value));
  book.add([soil("t2", 1, "dry")]);
  expect(heard).toEqual([undefined]);
  book.add([soil("t1", 2, "wet")]);
  book.replace(["t1"], [soil("t1", 2, "moist")]);
  book.open([soil("t2", 1, "dry")]);
  expect(heard).toEqual([undefined, "wet", "moist", undefined]);
  expect(book.all.value.get("t2")?.soil?.value).toBe("dry");
  stop();
});

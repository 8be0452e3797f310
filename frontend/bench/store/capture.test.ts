// @vitest-environment node
import { expect, test, vi } from "vitest";
import vectors from "../../../tests/vectors/records.json";
import type { Draft } from "../model/types";
import { newStore } from "../testing/rows";

test("each kind becomes the very record that the shed's own test takes in", async () => {
  vi.spyOn(Date, "now").mockReturnValue(vectors.phone_ms);
  const store = await newStore();
  await store.learnOffset(vectors.server_ahead_ms);
  const records = await store.capture(vectors.drafts as Draft[]);
  expect(records).toEqual(vectors.records);
  expect(await store.outbox()).toEqual(vectors.records);
  store.close();
});

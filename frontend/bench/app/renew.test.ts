// Reading some trees of a bench anew, and reckoning their answers, gives what reading all would give.

import { describe, expect, it } from "vitest";
import { answersByTree } from "../screens/logic/ask";
import { aTree, record } from "../screens/logic/testing";
import { AnswerBook } from "./answers";
import { keeping, renewed } from "./renew";

const row = ["K1", "K2", "K3"].map((tag, i) => aTree(tag, [], { row: 1, place: i + 1 }));
const tags = (trees: { tag: string }[]) => trees.map((t) => t.tag).join(" ");

describe("trees read anew", () => {
  it("stay in their places, whatever else they say", () => {
    const now = renewed(row, "b", ["id-K2"], [aTree("K2", ["soil"], { row: 1, place: 2 })]);
    expect([tags(now), now[1]?.st?.due.length, now[0] === row[0]]).toEqual(["K1 K2 K3", 1, true]);
  });

  it.each([
    ["moved to the end", aTree("K1", [], { row: 2, place: 1 }), "K2 K3 K1"],
    ["moved to another bench", aTree("K1", [], { bench: "c" }), "K2 K3"],
    ["left the nursery", aTree("K1", [], { left: "died", bench: null }), "K2 K3"],
  ])("%s", (_what, tree, order) => {
    expect(tags(renewed(row, "b", ["id-K1"], [tree]))).toBe(order);
  });

  it("join the bench in walking order, and go where the phone knows them no more", () => {
    const next = renewed(row, "b", ["id-K0", "id-K3"], [aTree("K0", [], { row: 1, place: 2 })]);
    expect(tags(next)).toBe("K1 K0 K2");
  });
});

it("keeps the very trees that are shown among all that were read, where they say the same", () => {
  const read = [aTree("K1", [], { row: 1, place: 1 }), aTree("K2", ["soil"], { row: 1, place: 2 }), aTree("K4", [], { row: 1, place: 4 })];
  const now = keeping(row, read);
  expect([now[0] === row[0], now[1] === read[1], now[2] === read[2], now.length]).toEqual([true, true, true, 3]);
});

it("keeps the answers of each tree as reading all of the walk would", () => {
  const book = new AnswerBook();
  const soil = record("soil_check", "id-K1", { state: "dry" });
  const wire = record("wire_look", "id-K2", { state: "biting" });
  book.open([record("walk_started", null, { bench: "b" }), soil]);
  book.add([wire]);
  const right = record("correction", "id-K1", { replaces: soil.record.id, body: { state: "moist" } });
  book.add([right]);
  expect(book.all.value).toEqual(answersByTree([soil, wire, right]));
  expect(book.all.value.get("id-K1")?.soil?.value).toBe("moist");
  book.add([record("correction", "id-K2", { replaces: wire.record.id, withdraw: true })]);
  expect([...book.all.value.keys()]).toEqual(["id-K1"]);
  book.replace(["id-K1"], []);
  expect(book.all.value.size).toBe(0);
});

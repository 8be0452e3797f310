import { describe, expect, it } from "vitest";
import { summary } from "./summary";
import { aTree, record, wired } from "./testing";
import { lastGroup } from "./undo";
import { worst, inOrder } from "./benches";

describe("the sums of a walk", () => {
  const trees = [
    wired("K1", "snug", ["wire", "soil"]),
    wired("K2", "snug", ["wire"]),
    aTree("K3", ["soil"]),
    aTree("K4", ["soil"]),
    aTree("K5", ["soil"]),
  ];
  const records = [
    record("walk_started", null, { bench: "b" }),
    record("wire_look", "id-K1", { state: "biting" }),
    record("soil_check", "id-K1", { state: "dry" }),
    record("wire_look", "id-K2", { state: "sunk_in" }),
    record("wire_off", "id-K2", { scars: "deep" }),
    record("soil_check", "id-K3", { state: "moist", bulk: true }),
    record("soil_check", "id-K4", { state: "wet" }),
    record("caliper", "id-K4", { mm: 12.5 }),
    record("note", "id-K4", { text: "bark lifts" }),
  ];
  const sum = summary(trees, records);

  it("counts what was looked at and what is still due", () => {
    expect([sum.trees, sum.looked, sum.bulk, sum.measured, sum.notes]).toEqual([5, 4, 1, 1, 1]);
    expect(sum.open.map((t) => t.tag)).toEqual(["K5"]);
  });

  it("lists wires to cut off, but none that came off on the walk", () => {
    expect(sum.cutOff.map((t) => t.tag)).toEqual(["K1"]);
  });

  it("lists pots to water and pots too wet", () => {
    expect(sum.water.map((t) => t.tag)).toEqual(["K1"]);
    expect(sum.wet.map((t) => t.tag)).toEqual(["K4"]);
  });

  it("names a tree that left the nursery on the walk", () => {
    const gone = summary([], [record("soil_check", "id-K9", { state: "dry" })], () => "K9");
    expect(gone.water).toEqual([{ id: "id-K9", tag: "K9" }]);
  });
});

describe("undo", () => {
  it("takes back one tap: the last record", () => {
    const first = record("soil_check", "id-K1", { state: "dry" }, 0);
    const second = record("soil_check", "id-K2", { state: "dry" }, 5);
    expect(lastGroup([first, second])).toEqual([second]);
  });

  it("takes back both records of one tap on Fine, and all of a bulk tap", () => {
    const start = record("walk_started", null, { bench: "b" }, 0);
    const wire = record("wire_look", "id-K1", { state: "snug" }, 1);
    const soil = record("soil_check", "id-K1", { state: "moist" }, 1);
    expect(lastGroup([start, wire, soil])).toEqual([soil, wire]);
    const bulk = ["K2", "K3", "K4"].map((t) => record("soil_check", `id-${t}`, { state: "moist", bulk: true }, 9));
    expect(lastGroup([start, wire, soil, ...bulk]).map((r) => r.record.tree)).toEqual(["id-K4", "id-K3", "id-K2"]);
  });

  it("goes one further back after an undo, and stops at the start of the walk", () => {
    const start = record("walk_started", null, { bench: "b" }, 0);
    const soil = record("soil_check", "id-K1", { state: "dry" }, 1);
    const back = record("correction", "id-K1", { replaces: soil.record.id, withdraw: true }, 2);
    expect(lastGroup([start, soil, back])).toEqual([]);
  });
});

describe("the list of benches", () => {
  it("is in walking order, then by name with numbers as numbers", () => {
    const bench = (name: string, order: number) => ({ id: name, name, rows: 1, places: 1, order });
    const benches = [bench("Bench 10", 0), bench("Cold frame", -1), bench("Bench 2", 0)];
    expect(inOrder(benches).map((b) => b.name)).toEqual(["Cold frame", "Bench 2", "Bench 10"]);
  });

  it("says the worst reason: wires that bit go before all else", () => {
    const tally = (whats: object, bitten = 0) => ({ trees: 9, due: 3, whats, bitten });
    expect(worst(tally({ caliper: 1, soil: 2 }))?.text).toBe("2 pots to check for water");
    expect(worst(tally({ soil: 1, wire: 1 }))?.text).toBe("1 wire to look at");
    expect(worst(tally({ soil: 1, wire: 2 }, 1))?.text).toBe("1 wire bit when last seen");
    expect(worst(tally({ soil: 0 }))).toBeUndefined();
    expect(worst(undefined)).toBeUndefined();
  });
});

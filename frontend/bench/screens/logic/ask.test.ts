import { describe, expect, it } from "vitest";
import { answersByTree, asksOf, cellOf, openDues, optionsOf, reason } from "./ask";
import { aTree, MAPLE, PINE, record, wired } from "./testing";

const rows = (asks: ReturnType<typeof asksOf>) => asks.map((a) => `${a.what}${a.due ? " due" : ""}`);

describe("the rows that a tree asks", () => {
  it("asks a pine in the trunk years for buds and soil, and for wire only where one is on", () => {
    expect(rows(asksOf(aTree("K1"), PINE))).toEqual(["buds", "soil"]);
    expect(rows(asksOf(wired("K1", "snug", ["wire"]), PINE))).toEqual(["buds", "wire due", "soil"]);
  });

  it("does not ask a maple for needle buds, unless they are due", () => {
    expect(rows(asksOf(aTree("A1"), MAPLE))).toEqual(["soil"]);
    expect(rows(asksOf(aTree("A1", ["buds"]), MAPLE))).toEqual(["buds due", "soil"]);
  });

  it("does not ask a seedling pine for buds", () => {
    expect(rows(asksOf(aTree("K1", [], { phase: "seedling" }), PINE))).toEqual(["soil"]);
  });

  it("asks for wire from the moment this phone recorded it put on, and no more once it is off", () => {
    const fresh = { record: "x", run: null, observed_at: "2026-06-01T08:00:00.000Z", bulk: false };
    const on = aTree("A1", [], { fresh: { wire: { state: "on", ...fresh } } });
    expect(rows(asksOf(on, MAPLE))).toEqual(["wire", "soil"]);
    const off = { ...wired("A1", "biting", ["wire"]), fresh: { wire: { state: "off", ...fresh } } };
    expect(rows(asksOf(off, MAPLE))).toEqual(["soil"]);
  });

  it("offers the states from slack to harm", () => {
    const wire = optionsOf("wire");
    expect(wire.map((o) => o.value)).toEqual(["loose", "snug", "marking", "biting", "sunk_in"]);
    expect(wire.map((o) => o.word)).toEqual(["loose", "snug", "marking", "biting", "sunk in"]);
  });
});

describe("answers of a walk", () => {
  it("takes the newest, follows corrections, and forgets what was taken back", () => {
    const soil = record("soil_check", "id-K1", { state: "moist" });
    const wire = record("wire_look", "id-K1", { state: "snug" });
    const right = record("correction", "id-K1", { replaces: soil.record.id, body: { state: "dry" } });
    const back = record("correction", "id-K1", { replaces: wire.record.id, withdraw: true });
    const answers = answersByTree([soil, wire, right, back]).get("id-K1");
    expect(answers?.soil?.value).toBe("dry");
    expect(answers?.soil?.record).toBe(soil.record.id);
    expect(answers?.wire).toBeUndefined();
  });

  it("answers a due, and leaves the others open, worst first", () => {
    const tree = wired("K1", "snug", ["caliper", "soil", "wire"]);
    expect(openDues(tree).map((d) => d.what)).toEqual(["wire", "soil", "caliper"]);
    const answers = answersByTree([record("wire_look", tree.id, { state: "snug" })]).get(tree.id);
    expect(openDues(tree, answers).map((d) => d.what)).toEqual(["soil", "caliper"]);
    expect(reason(tree, answers)).toBe("Soil not checked for 6 days. Not measured for a year");
  });

  it("counts an earlier record of this phone as an answer", () => {
    const soil = { state: "moist", record: "x", run: "other", observed_at: "2026-06-01T08:00:00.000Z", bulk: false };
    expect(openDues(aTree("K1", ["soil"], { fresh: { soil } }))).toEqual([]);
  });
});

describe("a cell on the bench", () => {
  const cell = (tree: ReturnType<typeof aTree>, ...seen: [Parameters<typeof record>[0], object][]) => {
    const records = seen.map(([kind, body]) => record(kind, tree.id, body));
    return cellOf(tree, answersByTree(records).get(tree.id));
  };

  it("is quiet with nothing due, and names the worst due with how many more", () => {
    expect(cell(aTree("K1"))).toEqual({ look: "quiet", word: "" });
    expect(cell(wired("K1", "snug", ["soil", "wire"]))).toEqual({ look: "due", word: "wire +1" });
  });

  it("wants a hand for a wire that bites and for a dry pot, until that was done", () => {
    const tree = wired("K1", "snug", ["soil", "wire"]);
    expect(cell(tree, ["wire_look", { state: "biting" }])).toEqual({ look: "hand", word: "biting" });
    expect(cell(aTree("K1"), ["soil_check", { state: "dry" }])).toEqual({ look: "hand", word: "dry" });
    expect(cell(aTree("K1"), ["soil_check", { state: "dry" }], ["work_done", { task: "watered" }]).look).toBe("done");
    expect(cell(aTree("K1"), ["wire_look", { state: "biting" }], ["wire_off", { scars: "none" }])).toEqual({
      look: "done",
      word: "wire off",
    });
  });

  it("is fine once all that was due is answered", () => {
    const tree = wired("K1", "snug", ["soil", "wire"]);
    expect(cell(tree, ["wire_look", { state: "snug" }])).toEqual({ look: "due", word: "soil" });
    expect(cell(tree, ["wire_look", { state: "snug" }], ["soil_check", { state: "moist" }])).toEqual({
      look: "done",
      word: "fine",
    });
  });
});

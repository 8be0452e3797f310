import { createHash } from "node:crypto";
import { describe, expect, it } from "vitest";
import { WORKS } from "../../model/words";
import { inUse } from "../forms/work";
import { tidyCode } from "../pair";
import { doubt, millimetres, press, type Key } from "./caliper";
import { caution } from "./cautions";
import { degrees, largestGap, side, spot } from "./circle";
import { fileName, handoverText } from "./handoverFile";
import { slats } from "./slats";
import { aTree, record } from "./testing";
import { told } from "./told";
import { day } from "../../words/written";
import { about, said } from "./words";

const typed = (keys: string) => [...keys].reduce((text, key) => press(text, (key === "<" ? "back" : key) as Key), "");

describe("the caliper's pad", () => {
  it("makes a number with at most one decimal, and none over 1000", () => {
    expect(typed("12.55")).toBe("12.5");
    expect(typed("1..2")).toBe("1.2");
    expect(typed("10005")).toBe("1000");
    expect(typed(".5")).toBe("0.5");
    expect(typed("07")).toBe("7");
    expect(typed("12<<3")).toBe("3");
  });

  it("takes 0.1 to 1000 mm and nothing else", () => {
    expect(millimetres("0.1")).toBe(0.1);
    expect(millimetres("1000")).toBe(1000);
    expect(["", "0", "0.", "1001"].map((text) => millimetres(text))).toEqual([undefined, undefined, undefined, undefined]);
  });

  it("doubts a trunk that shrank or grew by more than half, and nothing without a last value", () => {
    expect(doubt(15, 20)).toBe("That is thinner than the 20 mm of last time.");
    expect(doubt(35, 20)).toBe("That is much thicker than the 20 mm of last time.");
    expect([doubt(19, 20), doubt(26, 20), doubt(35, null)]).toEqual(["", "", ""]);
  });
});

describe("the root circle", () => {
  it("has the front at the bottom and goes clockwise as seen from above", () => {
    expect([degrees(0), degrees(3), degrees(11)]).toEqual([0, 90, 330]);
    expect([side(0), side(3), side(6), side(9)]).toEqual(["front", "left", "back", "right"]);
    expect(spot(0, 40)).toEqual({ x: 50, y: 90 });
    expect(Math.round(spot(3, 40).x)).toBe(10);
  });

  it("finds the widest arc without a root, over the front too", () => {
    const at = (...degs: number[]) => degs.map((deg) => ({ deg, grade: 3, level: true }));
    expect(largestGap(at(0, 90, 180, 270))).toBe(90);
    expect(largestGap(at(30, 90))).toBe(300);
    expect([largestGap(at(30)), largestGap([])]).toEqual([360, 360]);
  });
});

describe("the file of waiting records", () => {
  it("carries the hash of the records as they stand in it", async () => {
    const records = [record("note", "t", { text: "b\u00e4rk \u6728" }).record];
    const me = { device: "d", name: "Pocket phone", role: "helper", epoch: "e" } as const;
    const text = await handoverText(me, records);
    const file = JSON.parse(text) as Record<string, unknown>;
    expect([file.misho, file.v, file.device, file.count]).toEqual(["handover", 1, "d", 1]);
    expect(file.records).toEqual(JSON.parse(JSON.stringify(records)));
    const list = text.slice(text.indexOf("["), text.lastIndexOf("]") + 1);
    expect(file.sha256).toBe(createHash("sha256").update(list, "utf8").digest("hex"));
  });

  it("is named after the phone and the day", () => {
    expect(fileName("Hana's phone!", new Date("2026-06-01T10:00:00Z"))).toBe("misho-handover-hana-s-phone-2026-06-01.json");
  });
});

describe("a bench to draw", () => {
  it("has its rows from the left, its holes, and a row for trees without a place", () => {
    const bench = { id: "b", name: "South", rows: 3, places: 3, order: 0 };
    const at = (tag: string, row: number | null, place: number | null) => aTree(tag, [], { row, place });
    const rows = slats(bench, [at("K1", 1, 1), at("K2", 1, 3), at("K4", 2, 3), at("K3", 2, 1), at("K9", null, null)]);
    expect(rows.all.map((r) => [r.row, r.pots.map((p) => p.tree.tag), r.holes])).toEqual([
      [1, ["K1", "K2"], [2]],
      [2, ["K3", "K4"], [2]],
      [0, ["K9"], []],
    ]);
  });
});

describe("words", () => {
  it("says who a tree is", () => {
    const now = new Date("2026-06-01T12:00:00Z");
    expect(about(aTree("K1"), "black pine", now)).toBe("black pine, 4 years, trunk");
    expect(about(aTree("K1", [], { sown: null }), "black pine", now)).toBe("black pine, trunk");
    expect(about(aTree("K1", [], { sown: 2026, phase: "seedling" }), "black pine", now)).toBe(
      "black pine, sown this year, seedling",
    );
  });

  it("says what a record says", () => {
    expect(said("soil_check", { state: "dry", bulk: true })).toBe("soil dry (with the rest)");
    expect(said("wire_off", { scars: "deep" })).toBe("wire taken off, deep scars");
    expect(said("something_new", {})).toBe("something new");
    expect(day("2025-03-01", new Date("2026-06-01T12:00:00Z"))).toBe("1 March 2025");
  });

  it("tells a tree's own records once each, as they now stand", () => {
    const soil = record("soil_check", "t", { state: "moist" });
    const right = record("correction", "t", { replaces: soil.record.id, body: { state: "dry" } });
    expect(told([right, soil]).map((r) => said(r.record.kind, r.record.body))).toEqual(["soil dry"]);
  });

  it("puts the code in two groups as it is typed", () => {
    expect(tidyCode("7kq4 m2xd99")).toBe("7KQ4-M2XD");
    expect(tidyCode("7kq")).toBe("7KQ");
  });
});

describe("work", () => {
  it("lists what suits the species first, and all of it", () => {
    const list = inUse(["needles_thinned", "decandled"]);
    expect(list.slice(0, 2)).toEqual(["decandled", "needles_thinned"]);
    expect([...list].sort()).toEqual([...WORKS].sort());
  });

  it("cautions where a blade, a spray or a heavy pot is in it", () => {
    expect(caution("sprayed")).toContain("label");
    expect(caution("leader_cut")).toContain("away from your hand");
    expect(caution("repotted")).toContain("Heavy pots");
    expect(caution("fed")).toBe("");
  });
});

import { afterEach, describe, expect, it } from "vitest";
import { choose } from "../../app/settings";
import { millimetres, press, type Key } from "./caliper";
import { said } from "./words";

afterEach(() => choose("unit", "mm"));

function typed(keys: string, unit: "mm" | "cm" | "in"): string {
  return [...keys].reduce((text, key) => press(text, key as Key, unit), "");
}

describe("lengths in the grower's unit", () => {
  // An inch is 25.4 mm by definition (international yard and pound agreement, 1959).
  it.each([
    ["12.5", "mm", 12.5],
    ["1.25", "cm", 12.5],
    ["0.5", "in", 12.7],
    ["39.37", "in", 1000],
  ] as const)("%s %s is a record of %s mm", (text, unit, mm) => {
    expect(typed(text, unit)).toBe(text);
    expect(millimetres(text, unit)).toBe(mm);
  });

  it("types no more decimals than a trunk is worth, and no more than a metre", () => {
    expect(typed("1.256", "cm")).toBe("1.25");
    expect(typed("12.56", "mm")).toBe("12.5");
    expect(typed("40", "in")).toBe("4");
    expect(millimetres("40", "in")).toBeUndefined();
  });

  it("shows a record in the unit chosen", () => {
    expect(said("caliper", { mm: 12.5 })).toBe("caliper 12.5 mm");
    choose("unit", "cm");
    expect(said("caliper", { mm: 12.5 })).toBe("caliper 1.25 cm");
    choose("unit", "in");
    expect(said("caliper", { mm: 12.5 })).toBe("caliper 0.49 in");
  });
});

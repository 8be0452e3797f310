import { afterEach, describe, expect, it } from "vitest";
import { locale, localeOf, speak, t, tn } from ".";

afterEach(() => speak("en"));

describe("the language", () => {
  it.each([
    [["de-AT", "en"], "de"],
    [["fr-CH", "de-CH", "en"], "de"],
    [["en-US", "de"], "en"],
    [["ja"], "en"],
    [[], "en"],
  ] as const)("of a grower who reads %j is %s", (languages, known) => {
    expect(localeOf(languages)).toBe(known);
  });

  it("is the one asked for last, however long the others take to load", async () => {
    await Promise.all([speak("de"), speak("en")]);
    expect(locale()).toBe("en");
    await Promise.all([speak("en"), speak("de")]);
    expect(locale()).toBe("de");
  });
});

describe("texts", () => {
  it("are filled, and counted", () => {
    expect(t("Soil of {name}", { name: "row 3" })).toBe("Soil of row 3");
    expect([0, 1, 2, 12345].map((n) => tn(n, "{n} tree", "{n} trees"))).toEqual([
      "0 trees", "1 tree", "2 trees", "12,345 trees",
    ]);
  });

  it.each(["en", "de"] as const)("count and write numbers in %s as Unicode CLDR does, which Intl has", async (locale) => {
    await speak(locale);
    const [rule, written] = [new Intl.PluralRules(locale), new Intl.NumberFormat({ en: "en-GB", de: "de-DE" }[locale], { useGrouping: "min2" })];
    for (const n of [0, 1, 2, 11, 21, 999, 1000, 9999, 10_000, 1_234_567, 0.5, 1.5, 1.0005, 21.4, 0.12345, 1e-7, 9999.9996, 12_345.25, -1, -3]) {
      const one = rule.select(n) === "one";
      expect(tn(n, "{n} tree", "{n} trees")).toBe(`${written.format(n)} ${{ en: one ? "tree" : "trees", de: one ? "Baum" : "Bäume" }[locale]}`);
    }
  });

  it("keep their remark to themselves", () => {
    expect(t("light|scars")).toBe("light");
  });
});

import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { speak, t, tn, tx } from ".";
import { clock, day, listed, number, percent, shortDay } from "./written";

afterEach(() => speak("en"));

const NOW = new Date("2026-06-15T10:00:00Z");
const written = () => [
  day("2026-06-01", NOW), day("2025-03-04", NOW), shortDay("2026-11-25"), clock("2026-06-01T08:05:00Z"),
  number(18.25, 1), number(12345.5, 1), percent(0.55), listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"]),
];

// Days, numbers and lists by the Unicode Common Locale Data Repository, as the browser's Intl brings it.
describe("days, numbers and lists", () => {
  it("are English", () => {
    expect(written()).toEqual([
      "1 June", "4 March 2025", "25 Nov 2026", "08:05", "18.3", "12345.5", "55%", "a", "a and b", "a, b and c",
    ]);
  });

  it("are German", async () => {
    await speak("de");
    expect(written()).toEqual([
      "1. Juni", "4. März 2025", "25. Nov. 2026", "08:05", "18,3", "12345,5", "55\u00a0%", "a", "a und b", "a, b und c",
    ]);
  });
});

// Values of Intl in Node 24 (CLDR 48), written down: a browser's own may know another short form.
it.each([
  ["en", ["3 Jan 2026", "3 Feb 2026", "3 Mar 2026", "3 Apr 2026", "3 May 2026", "3 Jun 2026",
    "3 Jul 2026", "3 Aug 2026", "3 Sept 2026", "3 Oct 2026", "3 Nov 2026", "3 Dec 2026"]],
  ["de", ["3. Jan. 2026", "3. Feb. 2026", "3. März 2026", "3. Apr. 2026", "3. Mai 2026", "3. Juni 2026",
    "3. Juli 2026", "3. Aug. 2026", "3. Sept. 2026", "3. Okt. 2026", "3. Nov. 2026", "3. Dez. 2026"]],
] as const)("the short days of a year in %s", async (locale, days) => {
  await speak(locale);
  expect(days.map((_, month) => shortDay(`2026-${String(month + 1).padStart(2, "0")}-03`))).toEqual(days);
});

describe("German texts", () => {
  beforeEach(() => speak("de"));

  it("are filled and counted by German rules", () => {
    expect(t("Soil of {name}", { name: t("row {row}", { row: 3 }) })).toBe("Boden: Reihe 3");
    expect([0, 1, 2, 12345].map((n) => tn(n, "{n} tree", "{n} trees"))).toEqual([
      "0 Bäume", "1 Baum", "2 Bäume", "12.345 Bäume",
    ]);
    expect(tn(1, "{looked} of {n} tree looked at", "{looked} of {n} trees looked at", { looked: 0 })).toBe(
      "0 von 1 Baum angesehen",
    );
  });

  it("put elements where the language wants them", () => {
    const seven = { type: "b" };
    expect(tx("{n} due", { n: seven as never })).toEqual(["", seven, " fällig"]);
  });
});

import { afterEach, describe, expect, it } from "vitest";
import vectors from "../../../tests/vectors/sentences.json";
import { speak, translated } from "../words";
import { say, type Reader } from "./sentences";

interface Case { sentence: unknown; unit?: Reader["unit"]; en: string; de: string }
const CASES = vectors.cases as Case[];

afterEach(() => speak("en"));

/** As the phone says it; where a key may break a word is the phone's own affair. */
function said({ sentence, unit = "mm" }: Case, locale: string): string {
  return say(sentence, { word: translated, locale, unit, today: vectors.today }).replaceAll("\u00ad", "");
}

describe("sentences as data", () => {
  it.each(CASES)("$sentence is said in English as the shed says it", (one) => {
    expect(said(one, "en")).toBe(one.en);
  });

  it.each(CASES)("$sentence is said in German as the shed says it", async (one) => {
    await speak("de");
    expect(said(one, "de")).toBe(one.de);
  });
});

import { afterEach, expect, test } from "vitest";
import vectors from "../../../../tests/vectors/chance.json";
import { speak } from "../../words";
import { chance, ended, inWords } from "./words";

afterEach(() => speak("en"));

test.each(vectors)("a chance of $p is written $shown", ({ p, shown }) => {
  expect(chance(p)).toBe(shown);
});

test("why a record was set aside is said in the grower's language, and an older shed's text as it came", async () => {
  const why = [
    ["{value} is outside {low} to {high}", { value: 1200.5, low: 0.1, high: 1000 }],
    "the tree is not known here",
    "1200.5 is outside 0.1 to 1000",
    "Give a number.",
  ] as const;
  const said = () => why.map((one) => ended(inWords(one)));
  expect(said()).toEqual([
    "1200.5 is outside 0.1 to 1000.",
    "the tree is not known here.",
    "1200.5 is outside 0.1 to 1000.",
    "Give a number.",
  ]);
  await speak("de");
  expect(said()).toEqual([
    "1200,5 liegt nicht zwischen 0,1 und 1000.",
    "der Baum ist hier nicht bekannt.",
    "1200.5 is outside 0.1 to 1000.",
    "Give a number.",
  ]);
  expect(ended("")).toBe("");
});

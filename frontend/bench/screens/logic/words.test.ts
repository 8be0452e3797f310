import { afterEach, expect, test } from "vitest";
import { speak } from "../../words";
import { chance, ended, inWords } from "./words";

afterEach(() => speak("en"));

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

test("a chance is never told as certain", () => {
  expect([0, 0.0049, 0.005, 0.554, 0.9949, 0.995, 1].map(chance)).toEqual([
    "<1%",
    "<1%",
    "1%",
    "55%",
    "99%",
    ">99%",
    ">99%",
  ]);
});

import { expect, it } from "vitest";
import { speak } from "../../words";
import { millimetres, shown } from "../logic/caliper";
import { length } from "../logic/units";
import { keyOf } from "./pad";

it("takes a keyboard's keys, and a comma for a point", () => {
  expect(["7", ",", ".", "Backspace", "a", "Enter"].map(keyOf)).toEqual(["7", ".", ".", "back", undefined, undefined]);
});

it("reads and writes lengths as the language does, and takes them either way", async () => {
  expect([millimetres("18.2"), millimetres("18,2"), millimetres("1,82", "cm")]).toEqual([18.2, 18.2, 18.2]);
  expect(["1,8,2", "18.2mm", ""].map((text) => millimetres(text))).toEqual([undefined, undefined, undefined]);
  expect([shown("18."), length(18.2, "mm"), length(18.2, "in")]).toEqual(["18.", "18.2 mm", "0.72 in"]);
  await speak("de");
  expect([shown("18."), length(18.2, "mm"), length(18.2, "in")]).toEqual(["18,", "18,2 mm", "0,72 Zoll"]);
  await speak("en");
});

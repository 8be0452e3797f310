import { expect, test } from "vitest";
import vectors from "../../../tests/vectors/tags.json";
import { makeTag, validTag } from "./tags";

test.each(vectors.make as [string, number, string][])("%s %i makes %s, as the shed does", (prefix, number, tag) => {
  expect(makeTag(prefix, number)).toBe(tag);
  expect(validTag(tag)).toBe(true);
});

test.each(vectors.invalid)("%j is refused, as the shed does", (tag) => {
  expect(validTag(tag)).toBe(false);
});

test("each wrong character and each swap of neighbours is noticed", () => {
  const all = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
  for (const tag of ["K041D", "JBP204H"]) {
    for (let at = 0; at < tag.length; at++) {
      for (const char of all) {
        const wrong = tag.slice(0, at) + char + tag.slice(at + 1);
        expect([wrong, validTag(wrong)]).toEqual([wrong, wrong === tag]);
      }
      const swapped = tag.slice(0, at) + (tag[at + 1] ?? "") + tag[at] + tag.slice(at + 2);
      if (swapped !== tag) expect([swapped, validTag(swapped)]).toEqual([swapped, false]);
    }
  }
});

test("what cannot be in a tag is said", () => {
  expect(() => makeTag("O", 1)).toThrow('a tag cannot start with "O"');
  expect(() => makeTag("K", 10000)).toThrow("a tag's number is 1 to 9999");
});

import { expect, test } from "vitest";
import vectors from "../../../tests/vectors/codes.json";
import { readCode, treeEnd } from "./codes";

test.each(vectors.make as [string, string, number, string][])("the tag %j is read as the shed prints it", (tag, id, edge, text) => {
  expect(readCode(text)).toEqual({ edge_mm: edge, tree_end: treeEnd(id), tag });
});

test.each(vectors.foreign)("%j is not ours", (text) => {
  expect(readCode(text)).toBeUndefined();
});

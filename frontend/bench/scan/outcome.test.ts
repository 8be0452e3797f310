import { expect, test } from "vitest";
import type { TreeView } from "../model/types";
import { aTree } from "../screens/logic/testing";
import type { FoundCode } from "./decode";
import { meant, outcomeOf } from "./outcome";

const ID = "0199d2f0-7c1a-7b3e-8a55-4c2e9f3a61c2";
const PINE = aTree("K041D", [], { id: ID });
const MAPLE = aTree("Old 7", [], { id: "0199d2f0-7c1a-7b3e-8a55-4c2e00000007" });

function shelf(...trees: TreeView[]) {
  return {
    findByTag: async (prefix: string) => trees.filter((t) => t.tag.toUpperCase().startsWith(prefix.toUpperCase())),
    findByEnd: async (end: string) => trees.filter((t) => t.id.endsWith(end.toLowerCase())),
  };
}

test("a printed tag opens its tree", async () => {
  const outcome = await outcomeOf("MISHO.220.9F3A61C2.K041D", shelf(PINE, MAPLE));
  expect(outcome).toEqual({ what: "tree", tree: PINE });
});

test("an old label still finds its tree, and says so", async () => {
  const outcome = await outcomeOf("MISHO.220.9F3A61C2.K040E", shelf(PINE, MAPLE));
  expect(outcome).toMatchObject({ what: "ask", tree: PINE });
  expect((outcome as { message: string }).message).toContain("it says K040E, and the tree's tag is now K041D");
});

test("the same tag of another nursery is not taken for our tree", async () => {
  const outcome = await outcomeOf("MISHO.220.ABCDEF12.K041D", shelf(PINE, MAPLE));
  expect(outcome).toMatchObject({ what: "ask", tree: PINE });
  expect((outcome as { message: string }).message).toContain("printed for another tree");
});

test("a tag that this phone does not know says what to do", async () => {
  const outcome = await outcomeOf("MISHO.220.ABCDEF12.K099X", shelf(PINE));
  expect(outcome.what).toBe("none");
  expect((outcome as { message: string }).message).toContain("K099X, and no such tree is on this phone");
});

test("a grower's own code that says a tag opens that tree; where two have it, it is not guessed", async () => {
  expect(await outcomeOf("old 7\n", shelf(PINE, MAPLE))).toEqual({ what: "tree", tree: MAPLE });
  const twin = { ...MAPLE, id: "0199d2f0-7c1a-7b3e-8a55-4c2e00000008" };
  expect((await outcomeOf("old 7", shelf(MAPLE, twin))).what).toBe("none");
});

test("a foreign code is told, cut short, with the way out", async () => {
  const outcome = await outcomeOf(`https://shop.example/${"x".repeat(60)}`, shelf(PINE));
  expect(outcome).toEqual({
    what: "none",
    message: `A foreign code, not a tag of Misho: it says \u201chttps://shop.example/${"x".repeat(19)}\u2026\u201d. Type the tag that stands on the label.`,
  });
});

const at = (text: string, x: number, y: number): FoundCode => ({
  text,
  corners: [{ x, y }, { x: x + 10, y }, { x: x + 10, y: y + 10 }, { x, y: y + 10 }],
});

test("of several codes the nearest to the middle is meant, and ours before any other", () => {
  const [near, far] = [at("MISHO.220.9F3A61C2.K041D", 40, 40), at("MISHO.220.ABCDEF12.K001N", 0, 0)];
  expect(meant([far, near, at("foreign", 45, 45)], 100, 100)).toBe(near);
  expect(meant([at("foreign", 45, 45), far], 100, 100)).toBe(far);
  expect(meant([], 100, 100)).toBeUndefined();
});

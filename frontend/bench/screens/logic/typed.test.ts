import { expect, test } from "vitest";
import { typedFault } from "./typed";

test.each(["K041E", "k041e ", "K014D", "JBP204K", "K1000D"])("%j: the check character gives it away", (text) => {
  expect(typedFault(text)).toBe(
    `${text.trim().toUpperCase()} is misread: its check character, the last one, does not fit. Look at the label again.`,
  );
});

test("a right tag of a tree that is not here, and a beginning that no tag has", () => {
  expect(typedFault("K041D")).toContain("A right tag, but no such tree is on this phone");
  expect(typedFault("K04")).toBe("No tag begins like that on this phone.");
  expect(typedFault("Old pine")).toBe("No tag begins like that on this phone.");
});

test("letters that no tag has are told", () => {
  expect(typedFault("O041D")).toBe("Misho's tags never begin with O: look at the label again.");
});

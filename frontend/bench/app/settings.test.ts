import { afterEach, describe, expect, it } from "vitest";
import { choose, read, settings, wear } from "./settings";

const USUAL = { text: "usual", light: "phone", hand: "right", unit: "mm", buzz: "on", awake: "on", language: "phone" };

afterEach(() => {
  localStorage.clear();
  settings.value = read(null);
});

describe("settings", () => {
  it.each([
    ["nothing", null],
    ["a torn text", '{"hand": "le'],
    ["no object", "null"],
    ["what is no choice", '{"hand": "third", "text": 7}'],
  ])("are the usual ones where %s was kept", (_what, text) => {
    expect(read(text)).toEqual(USUAL);
  });

  it("keep what was chosen, and let the page wear it", () => {
    const root = document.createElement("div");
    wear(root);
    choose("hand", "left");
    choose("text", "large");
    expect(root.dataset.hand).toBe("left");
    expect(read(localStorage.getItem("misho-settings"))).toEqual({ ...USUAL, hand: "left", text: "large" });
  });
});

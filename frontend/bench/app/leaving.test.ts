// A key of a tree's sheet answers as the finger leaves it, once; what may have been anything but a tap is the browser's.

import { afterEach, beforeEach, expect, it, vi } from "vitest";
import "./leaving";

let pressed: string[];

beforeEach(() => {
  vi.useFakeTimers({ toFake: ["performance"] });
  // Long after whatever rolled in the test before.
  vi.advanceTimersByTime(10_000);
  pressed = [];
  document.body.innerHTML =
    `<main><section data-at-once><div class="about"><button id="dry"><b>dry</b></button></div></section><button id="pot"></button></main>`;
  for (const key of document.querySelectorAll("button")) key.addEventListener("click", () => pressed.push(key.id));
});
afterEach(() => void vi.useRealTimers());

const at = (selector: string) => document.querySelector(selector)!;

/** Whether the browser is kept from making a click of it too. */
function touch(what: "touchstart" | "touchend" | "touchcancel", on = "#dry b", x = 100, more: { touches?: object[]; cancelable?: boolean } = {}): boolean {
  const finger = { clientX: x, clientY: 50 };
  const { cancelable = true, touches = what === "touchstart" ? [finger] : [] } = more;
  const event = Object.assign(new Event(what, { bubbles: true, cancelable }), { touches, changedTouches: [finger] });
  at(on).dispatchEvent(event);
  return event.defaultPrevented;
}

const pass = (ms: number) => vi.advanceTimersByTime(ms);

it("presses the key as the finger leaves it, and the browser does not press it again", () => {
  expect(touch("touchstart")).toBe(false);
  expect(pressed).toEqual([]);
  pass(60);
  expect(touch("touchend", "#dry b", 107)).toBe(true);
  expect(pressed).toEqual(["dry"]);
  expect(touch("touchend")).toBe(false);
  expect(pressed).toEqual(["dry"]);
});

it.each<[string, () => void, number?]>([
  ["went away from where it began", () => pass(60), 109],
  ["lay as long as a long press", () => pass(401)],
  ["was taken over by the browser", () => touch("touchcancel")],
  ["was followed by a second one", () => touch("touchstart", "#dry b", 100, { touches: [{}, {}] })],
  ["scrolled what the key lies on", () => (pass(60), at(".about").dispatchEvent(new Event("scroll")))],
])("leaves to the browser a finger that %s", (_, meanwhile, x = 100) => {
  touch("touchstart");
  meanwhile();
  expect(touch("touchend", "#dry b", x)).toBe(false);
  expect(pressed).toEqual([]);
});

it.each([["main", "the page"], [".about", "a part of it"]])("leaves to the browser a finger that stops %s from rolling", (what) => {
  at(what).dispatchEvent(new Event("scroll"));
  pass(149);
  touch("touchstart");
  expect(touch("touchend")).toBe(false);
  pass(151);
  touch("touchstart");
  expect(touch("touchend")).toBe(true);
  expect(pressed).toEqual(["dry"]);
});

it("does not mind what rolls elsewhere", () => {
  at("#pot").dispatchEvent(new Event("scroll"));
  touch("touchstart");
  expect(touch("touchend")).toBe(true);
});

it("leaves a key of no sheet to the browser: it may be a scroll of the bench", () => {
  touch("touchstart", "#pot");
  expect(touch("touchend", "#pot")).toBe(false);
  expect(pressed).toEqual([]);
});

it("leaves to the browser what the browser will not be kept from", () => {
  touch("touchstart");
  expect(touch("touchend", "#dry b", 100, { cancelable: false })).toBe(false);
  expect(pressed).toEqual([]);
});

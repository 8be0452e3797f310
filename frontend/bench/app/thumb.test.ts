// What nobody waits for is done between taps: after the finger has left and its record is on the disk.

import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { atWork, betweenTaps } from "./thumb";

beforeEach(() => void vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout", "requestAnimationFrame", "performance"] }));
afterEach(() => {
  finger("pointerup");
  vi.useRealTimers();
});

function finger(what: "pointerdown" | "pointerup" | "pointercancel"): void {
  document.body.dispatchEvent(new Event(what, { bubbles: true }));
}

/** Whether the work has begun, asked whenever somebody wants to know. */
function work(): () => boolean {
  const done = vi.fn();
  void betweenTaps().then(done);
  return () => done.mock.calls.length > 0;
}

const pass = (ms: number) => vi.advanceTimersByTimeAsync(ms);

it("begins at once where no thumb is at work", async () => {
  const begun = work();
  await pass(1);
  expect(begun()).toBe(true);
});

it.each(["pointerup", "pointercancel"] as const)("waits for a finger on the glass, until its %s", async (end) => {
  finger("pointerdown");
  const begun = work();
  await pass(300);
  expect(begun()).toBe(false);
  finger(end);
  await pass(50);
  expect(begun()).toBe(true);
});

it("waits for the answer to the tap, well or not", async () => {
  for (const fails of [false, true]) {
    let over = () => {};
    atWork(new Promise<void>((done, failed) => (over = fails ? () => failed(new Error("full")) : done)));
    const begun = work();
    await pass(5000);
    expect(begun()).toBe(false);
    over();
    await pass(50);
    expect(begun()).toBe(true);
  }
});

it("waits again for a finger that came while the last tap was painted", async () => {
  finger("pointerdown");
  const begun = work();
  await pass(20);
  finger("pointerup");
  await pass(1);
  finger("pointerdown");
  await pass(300);
  expect(begun()).toBe(false);
  finger("pointerup");
  await pass(50);
  expect(begun()).toBe(true);
});

it("is not held up for good by a finger whose leaving nobody told of", async () => {
  finger("pointerdown");
  const begun = work();
  await pass(2500);
  expect(begun()).toBe(true);
});

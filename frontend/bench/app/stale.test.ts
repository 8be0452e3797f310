import { expect, it } from "vitest";
import { Stale } from "./stale";

const ids = (count: number) => Array.from({ length: count }, (_, n) => `t${n}`);

it("gives out what changed in portions, what is asked for first", () => {
  const stale = new Stale();
  stale.hear(ids(150), false);
  stale.hear(["t7", "new"], true);
  expect(stale.take(["new"])).toEqual({ ids: ["new", ...ids(99)], doubted: [] });
  expect(stale.take()).toEqual({ ids: ids(150).slice(99), doubted: [] });
  expect([stale.some, stale.take()]).toEqual([false, { ids: [], doubted: [] }]);
});

it("doubts the records of trees that somebody else tapped on", () => {
  const stale = new Stale();
  stale.hear(["mine"], true);
  stale.hear(["theirs"], false);
  expect(stale.take()).toEqual({ ids: ["mine", "theirs"], doubted: ["theirs"] });
});

it("says all where nobody can say which, and where too much is asked for at once", () => {
  const stale = new Stale();
  stale.hear(undefined, false);
  expect(stale.take()).toBe("all");
  stale.clear();
  expect([stale.some, stale.take(ids(101))]).toEqual([false, "all"]);
});

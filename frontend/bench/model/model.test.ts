import { expect, test } from "vitest";
import { before, stamp, tick } from "./hlc";
import { inWalkingOrder } from "./order";
import { uuidv7 } from "./uuid";

test("a UUID of version 7 carries its time, version and variant", () => {
  // RFC 9562, appendix A.6: unix_ts_ms 0x017F22E279B0 is 2022-02-22 14:22:22 -05:00.
  const id = uuidv7(Date.parse("2022-02-22T19:22:22Z"));
  expect(id).toMatch(/^017f22e2-79b0-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  expect(uuidv7(1)).not.toBe(uuidv7(1));
});

test("stamps go up when the clock stands still or goes back a little", () => {
  const a = tick({ ms: 0, count: 0 }, 1764100000123);
  const b = tick(a, 1764100000123);
  const c = tick(b, 1764100000000);
  expect([a, b, c].map(stamp)).toEqual(["001764100000123-0000", "001764100000123-0001", "001764100000123-0002"]);
});

test("a full counter borrows a millisecond", () => {
  expect(stamp(tick({ ms: 5, count: 0xffff }, 5))).toBe("000000000000006-0000");
});

test("a clock that ran a day ahead is not followed once the shed has put it right", () => {
  const now = 1764100000000;
  expect(tick({ ms: now + 86_400_000, count: 7 }, now)).toEqual({ ms: now, count: 0 });
});

test("records are ordered by stamp, then id", () => {
  const rows = [
    { hlc: "000000000000002-0000", id: "a" },
    { hlc: "000000000000001-00ff", id: "c" },
    { hlc: "000000000000001-00ff", id: "b" },
  ];
  expect(rows.sort(before).map((row) => row.id)).toEqual(["b", "c", "a"]);
});

test("a bench is walked as a serpentine, and what has no place comes last", () => {
  const at = (tag: string, row: number | null, place: number | null) => ({ tag, row, place });
  const bench = [
    at("Z", null, null), at("A", null, null), at("E", 3, 1), at("D", 2, 1), at("C", 2, 2), at("B", 1, 2), at("a", 1, 1),
    at("no place", 2, null),
  ];
  expect(inWalkingOrder(bench).map((tree) => tree.tag)).toEqual(["a", "B", "C", "D", "no place", "E", "A", "Z"]);
});

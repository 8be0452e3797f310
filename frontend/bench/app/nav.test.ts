import { describe, expect, it } from "vitest";
import { read } from "./nav";

describe("the address's fragment", () => {
  it("opens the screen that it names, and the benches for anything unknown", () => {
    expect(read("#/bench/b1")).toEqual({ screen: "bench", id: "b1", also: "" });
    expect(read("#/walk/r1/b1")).toEqual({ screen: "walk", id: "r1", also: "b1" });
    expect(read("#/moss")).toMatchObject({ screen: "benches" });
    expect(read("")).toMatchObject({ screen: "benches" });
  });

  it("takes the pairing code from the shed's QR code, and nothing else in its place", () => {
    expect(read("#pair=7KQ4-M2XD")).toEqual({ screen: "pair", id: "7KQ4-M2XD", also: "" });
    expect(read("#pair=7KQ4M2XD")).toMatchObject({ screen: "pair", id: "7KQ4M2XD" });
    expect(read("#pair=")).toMatchObject({ screen: "benches" });
    expect(read("#pair=<b>7KQ4")).toMatchObject({ screen: "benches" });
  });
});

// What was in sight when the app was left, and what the next opening takes of it.

import { signal } from "@preact/signals";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { MishoStore } from "../store";
import { openStore } from "../store/open";
import { standing } from "../screens/logic/testing";
import type { Sync } from "../sync";
import { makeDesk, refresh, type Desk } from "./desk";
import { followLeaving, inSight, leave, taken } from "./lastSeen";

const REACH = { rows: 1, places: 2 };
const HOME = "misho-last-seen";

let store: MishoStore;
let desk: Desk;

/** A bench of 13 rows with 10 places each; numbered row by row, from t1. */
beforeEach(async () => {
  store = await openStore(`seen-${crypto.randomUUID()}`);
  const trees = Array.from({ length: 130 }, (_, at): [string, string, Record<string, unknown>] => {
    const row = { tag: `T${at + 1}`, species: "japanese-black-pine", phase: "trunk", sown: 2022, lot: null };
    const where = { bench: "b", row: Math.floor(at / 10) + 1, place: (at % 10) + 1 };
    return ["tree", `t${at + 1}`, { ...row, ...where, target: null, left: "", st: standing(["soil"]) }];
  });
  await store.applyPage({
    rows: [
      ["bench", "b", { name: "South bench", rows: 13, places: 10, order: 0 }],
      ["species", "japanese-black-pine", { name: "Japanese black pine" }],
      ...trees,
    ],
    cursor: { epoch: "e", seq: 4 },
    last: true,
  });
  await store.setMe({ device: "d", name: "Phone A", role: "helper", epoch: "e" });
  desk = makeDesk(store, { status: signal({ state: "idle" }) } as unknown as Sync);
  await refresh(desk);
  await desk.walk.open("b");
  for (const tree of ["t45", "t1", "t130"]) await desk.walk.check(tree, "soil", "moist");
  desk.walk.select("t45");
});

afterEach(() => {
  vi.restoreAllMocks();
  localStorage.clear();
  store.close();
});

describe("what is in sight", () => {
  it("are the trees around the one at hand with their records, and how many others were looked at", () => {
    const look = inSight(desk, REACH)!;
    // Rows 4 to 7, places 3 to 6; in its own row those ahead.
    const shown = [4, 5, 6, 7].flatMap((row) => [3, 4, 5, 6].map((place) => `t${(row - 1) * 10 + place}`));
    const near = [...shown, "t47", "t48", "t49", "t50"];
    expect(look.trees.map(({ id }) => id).sort()).toEqual(near.sort());
    expect(look.records.map(({ record }) => [record.kind, record.tree])).toEqual([["walk_started", null], ["soil_check", "t45"]]);
    expect(look).toMatchObject({ all: 130, beyond: 2, waiting: 4, photos: 0, me: { name: "Phone A" }, bench: { name: "South bench" } });
    expect(look.walk).toEqual(desk.walk.state.value);
  });

  it.each<[string, () => unknown]>([
    ["no walk is open", () => desk.walk.end()],
    ["the walk stands at no tree", () => desk.walk.select(null)],
    ["the phone is not paired", () => (desk.me.value = undefined)],
  ])("is nothing where %s", async (_, change) => {
    await change();
    expect(inSight(desk, REACH)).toBeUndefined();
  });
});

describe("what was left", () => {
  it("is taken as it was, once", () => {
    const look = inSight(desk, REACH)!;
    leave(look);
    expect(taken()).toEqual(look);
    expect([taken(), localStorage.getItem(HOME)]).toEqual([undefined, null]);
  });

  it.each([
    ["another build left it", (text: string) => text.replace('"build":"', '"build":"older-')],
    ["it is torn", (text: string) => text.slice(0, 80)],
    ["it is something else", () => "7"],
  ])("is not taken, and gone, where %s", (_, change) => {
    leave(inSight(desk, REACH));
    localStorage.setItem(HOME, change(localStorage.getItem(HOME)!));
    expect([taken(), localStorage.getItem(HOME)]).toEqual([undefined, null]);
  });

  it("is not an older one, where the browser has no room for it or nothing is open any more", () => {
    const look = inSight(desk, REACH)!;
    leave(look);
    leave(undefined);
    expect(localStorage.getItem(HOME)).toBeNull();
    leave(look);
    const kept = localStorage;
    const setItem = () => {
      throw new DOMException("full", "QuotaExceededError");
    };
    vi.stubGlobal("localStorage", { setItem, removeItem: (name: string) => kept.removeItem(name) });
    leave(look);
    vi.unstubAllGlobals();
    expect(localStorage.getItem(HOME)).toBeNull();
  });

  it("is kept as the page is hidden or ends, and no longer holds once it is walked on", () => {
    const state = vi.spyOn(document, "visibilityState", "get");
    followLeaving(() => inSight(desk, REACH));
    const told = (name: "hidden" | "visible") => {
      state.mockReturnValue(name);
      document.dispatchEvent(new Event("visibilitychange"));
      return localStorage.getItem(HOME) !== null;
    };
    expect([told("hidden"), told("visible")]).toEqual([true, false]);
    dispatchEvent(new Event("pagehide"));
    expect(taken()?.walk.tree).toBe("t45");
  });
});

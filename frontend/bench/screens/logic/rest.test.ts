import { describe, expect, it } from "vitest";
import { answersByTree } from "./ask";
import { fineDrafts, finePlan, nextNear, nextOf, restPlan, soilDrafts } from "./rest";
import { aTree, record, wired } from "./testing";

describe("the rest is fine", () => {
  it("records soil moist and wire snug, only where due, marked as bulk", () => {
    const plan = restPlan([wired("K1", "loose", ["wire", "soil"]), aTree("K2", ["soil"]), aTree("K3")], new Map(), "w");
    expect(plan.drafts).toEqual([
      { kind: "wire_look", tree: "id-K1", run: "w", body: { state: "snug", bulk: true } },
      { kind: "soil_check", tree: "id-K1", run: "w", body: { state: "moist", bulk: true } },
      { kind: "soil_check", tree: "id-K2", run: "w", body: { state: "moist", bulk: true } },
    ]);
    expect([plan.trees, plan.soil, plan.wire]).toEqual([2, 2, 1]);
    expect(plan.left).toEqual([]);
  });

  it("never calls a wire fine that was marking or worse, and says so", () => {
    const plan = restPlan([wired("K1", "marking", ["wire", "soil"])], new Map(), "w");
    expect(plan.drafts.map((d) => d.kind)).toEqual(["soil_check"]);
    expect(plan.left).toEqual([{ id: "id-K1", tag: "K1", why: "wire was marking or worse when last seen" }]);
  });

  it("says nothing about needle buds, caliper or roots", () => {
    const plan = restPlan([aTree("K1", ["buds"]), aTree("K2", ["caliper", "soil"])], new Map(), "w");
    expect(plan.drafts).toEqual([{ kind: "soil_check", tree: "id-K2", run: "w", body: { state: "moist", bulk: true } }]);
    expect(plan.left.map((t) => `${t.tag}: ${t.why}`)).toEqual(["K1: needle buds want a look", "K2: caliper is due"]);
  });

  it("leaves what was answered one by one", () => {
    const trees = [wired("K1", "snug", ["wire", "soil"]), aTree("K2", ["soil"])];
    const answers = answersByTree([record("soil_check", "id-K1", { state: "dry" })]);
    expect(restPlan(trees, answers, "w").drafts.map((d) => [d.tree, d.kind])).toEqual([
      ["id-K1", "wire_look"],
      ["id-K2", "soil_check"],
    ]);
  });

  it("for one tree is not marked as bulk: the grower stands before it", () => {
    const tree = wired("K1", "snug", ["wire"]);
    expect(fineDrafts(tree, finePlan(tree), "w", false)).toEqual([
      { kind: "wire_look", tree: "id-K1", run: "w", body: { state: "snug" } },
    ]);
  });

  it("gives one soil word to a whole row", () => {
    expect(soilDrafts([aTree("K1"), aTree("K2")], "dry", "w").map((d) => [d.tree, d.body])).toEqual([
      ["id-K1", { state: "dry", bulk: true }],
      ["id-K2", { state: "dry", bulk: true }],
    ]);
  });
});

describe("next", () => {
  const trees = [aTree("K1", ["soil"]), aTree("K2"), aTree("K3", ["soil"]), aTree("K4")];

  it("is the next tree in walking order that has something due", () => {
    expect(nextOf(trees, "id-K1", new Map())?.tag).toBe("K3");
    expect(nextOf(trees, null, new Map())?.tag).toBe("K1");
  });

  it("does not lead back to trees that were passed, nor to those answered", () => {
    expect(nextOf(trees, "id-K3", new Map())).toBeUndefined();
    const answers = answersByTree([record("soil_check", "id-K3", { state: "moist" })]);
    expect(nextOf(trees, "id-K1", answers)).toBeUndefined();
  });

  it("on a bench where nothing is due is simply the next tree", () => {
    expect(nextOf([aTree("K1"), aTree("K2")], "id-K1", new Map())?.tag).toBe("K2");
  });

  it("is named before all are known only where it stands ahead in the same row", () => {
    const second = aTree("K5", ["soil"], { row: 2 });
    expect(nextNear([...trees, second], "id-K1", new Map())?.tag).toBe("K3");
    expect(nextNear([...trees, second], "id-K3", new Map())).toBeUndefined();
    expect(nextNear([aTree("K1"), aTree("K2")], "id-K1", new Map())).toBeUndefined();
  });
});

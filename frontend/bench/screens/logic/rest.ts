// "Fine" for one tree and "the rest is fine" for a bench: what they record, and what they must not.

import type { Draft, TreeView } from "../../model/types";
import { t, word, type Text } from "../../words";
import { openDues, wireDoubtful, type Answers } from "./ask";

export interface FinePlan { soil: boolean; wire: boolean }

/** Fine means: soil moist, wire snug; only where due. It never speaks of buds, nor of a wire last seen marking. */
export function finePlan(tree: TreeView, answers: Answers = {}): FinePlan {
  const open = new Set(openDues(tree, answers).map((d) => d.what));
  return { soil: open.has("soil"), wire: open.has("wire") && !wireDoubtful(tree) };
}

export function fineDrafts(tree: TreeView, plan: FinePlan, run: string, bulk: boolean): Draft[] {
  const mark = bulk ? { bulk: true } : {};
  const drafts: Draft[] = [];
  if (plan.wire) drafts.push({ kind: "wire_look", tree: tree.id, run, body: { state: "snug", ...mark } });
  if (plan.soil) drafts.push({ kind: "soil_check", tree: tree.id, run, body: { state: "moist", ...mark } });
  return drafts;
}

export interface RestPlan {
  drafts: Draft[];
  trees: number;
  soil: number;
  wire: number;
  /** Trees that stay open, and why. */
  left: { id: string; tag: string; why: string }[];
}

const LEFT: Readonly<Record<string, Text>> = {
  wire: word("wire was marking or worse when last seen"),
  buds: word("needle buds want a look"),
  caliper: word("caliper is due"),
  roots: word("roots are due"),
  firm: word("not known to be firm"),
  branches: word("branches are due"),
};

/** What "the rest is fine" would record for a bench. */
export function restPlan(trees: readonly TreeView[], answers: Map<string, Answers>, run: string): RestPlan {
  const plan: RestPlan = { drafts: [], trees: 0, soil: 0, wire: 0, left: [] };
  for (const tree of trees) {
    const mine = answers.get(tree.id) ?? {};
    const fine = finePlan(tree, mine);
    const drafts = fineDrafts(tree, fine, run, true);
    plan.drafts.push(...drafts);
    plan.trees += drafts.length ? 1 : 0;
    plan.soil += fine.soil ? 1 : 0;
    plan.wire += fine.wire ? 1 : 0;
    const stays = openDues(tree, mine).filter((d) => !(d.what === "soil" || (d.what === "wire" && fine.wire)));
    const why = stays[0] && LEFT[stays[0].what];
    if (stays[0]) plan.left.push({ id: tree.id, tag: tree.tag, why: why ? t(why) : "" });
  }
  return plan;
}

/** The tree after `here` that still has something due; on a bench where nothing was due, simply the next. */
export function nextOf(
  trees: readonly TreeView[],
  here: string | null,
  answers: Map<string, Answers>,
): TreeView | undefined {
  const after = trees.slice(trees.findIndex((t) => t.id === here) + 1);
  const asked = trees.some((t) => (t.st?.due.length ?? 0) > 0);
  if (!asked) return after[0];
  return after.find((t) => openDues(t, answers.get(t.id)).length > 0);
}

/** The same where only the trees in sight are known: it is sure of those ahead in the row of the tree at hand. */
export function nextNear(
  trees: readonly TreeView[],
  here: string | null,
  answers: Map<string, Answers>,
): TreeView | undefined {
  const at = trees.findIndex((t) => t.id === here);
  const ahead = trees.slice(at + 1).filter((t) => t.row === trees[at]?.row);
  return ahead.find((t) => openDues(t, answers.get(t.id)).length > 0);
}

/** One soil word for many trees at once; marked as given in bulk. */
export function soilDrafts(trees: readonly TreeView[], state: "wet" | "moist" | "dry", run: string): Draft[] {
  return trees.map((t) => ({ kind: "soil_check", tree: t.id, run, body: { state, bulk: true } }));
}

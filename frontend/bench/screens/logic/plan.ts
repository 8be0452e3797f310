// A plan laid over a walk: what its stops ask for, which comes next, and how many are left.

import type { PlanLook, Planned, StopNow } from "../../model/plan";
import type { Sentence } from "../../model/sentences";
import type { Due, DueWhat, TreeView } from "../../model/types";
import { cellOf, type Answers, type Cell } from "./ask";
import { nextOf } from "./rest";

/** Two reasons to look at one thing. */
const BOTH = "{one:word}; {other:word}";

type Given = Map<string, Answers>;

function dueWhat(look: PlanLook): DueWhat {
  return look.what === "taper" ? "caliper" : look.what;
}

/** The dues of a stop: what its own standing says, with the plan's reasons in place of its own. */
function withLooks(tree: TreeView, looks: readonly PlanLook[]): TreeView {
  if (!tree.st || !looks.length) return tree;
  const whys = new Map<DueWhat, Sentence>();
  for (const look of looks) {
    const before = whys.get(dueWhat(look));
    whys.set(dueWhat(look), before ? [BOTH, { one: before, other: look.why }] : look.why);
  }
  const others = tree.st.due.filter((due) => !whys.has(due.what));
  return { ...tree, st: { ...tree.st, due: [...[...whys].map(([what, why]): Due => ({ what, why })), ...others] } };
}

/** Trees of a bench that ask for what the plan wants of them too. Done twice, it changes nothing more. */
export function wanting(planned: Planned | undefined, trees: TreeView[]): TreeView[] {
  if (!planned) return trees;
  const looks = new Map(planned.stops.map(({ stop, open }) => [stop.tree, open]));
  return trees.map((tree) => withLooks(tree, looks.get(tree.id) ?? []));
}

/** The next tree of a walk: with a plan, the next of its stops on this bench that is still open. */
export function nextOn(
  planned: Planned | undefined, trees: readonly TreeView[], here: string | null, answers: Given,
): TreeView | undefined {
  if (!planned) return nextOf(trees, here, answers);
  const open = new Set(planned.stops.filter((now) => isOpen(now, answers)).map(({ stop }) => stop.tree));
  const after = trees.slice(trees.findIndex((tree) => tree.id === here) + 1);
  return after.find((tree) => open.has(tree.id));
}

/** As `cellOf`; on a planned walk what is due elsewhere keeps its word, and leaves it to the stops to stand out. */
export function cellOn(stops: ReadonlySet<string> | undefined, tree: TreeView, answers?: Answers): Cell {
  const cell = cellOf(tree, answers);
  return stops && cell.look === "due" && !stops.has(tree.id) ? { ...cell, look: "quiet" } : cell;
}

/** Whether a stop still asks for a look that was not answered on this walk either. */
export function isOpen({ stop, view, open }: StopNow, answers: Given): boolean {
  const mine = answers.get(stop.tree);
  const answered = (look: PlanLook) =>
    Boolean(mine?.[dueWhat(look)]) || (look.what === "soil" && mine?.work?.value === "watered");
  return view !== undefined && open.some((look) => !answered(look));
}

export function stopsLeft(planned: Planned, answers: Given): StopNow[] {
  return planned.stops.filter((now) => isOpen(now, answers));
}

/** The first open stop after a tree of the plan, or the first of all where none is named. */
export function stopAfter(planned: Planned, tree: string | null, answers: Given): StopNow | undefined {
  const at = planned.stops.findIndex(({ stop }) => stop.tree === tree);
  return planned.stops.slice(at + 1).find((now) => isOpen(now, answers));
}

/** The stops bench by bench, where they stand now, in the order of the plan. */
export function byBench(planned: Planned): [bench: string, stops: StopNow[]][] {
  const benches = new Map<string, StopNow[]>();
  for (const now of planned.stops) {
    const bench = now.view?.bench ?? now.stop.bench;
    benches.set(bench, [...(benches.get(bench) ?? []), now]);
  }
  return [...benches];
}

// The sums of a walk: what was found and what to do.

import type { LocalRecord, TreeView } from "../../model/types";
import { answersByTree, openDues, type Answers } from "./ask";

export interface Named { id: string; tag: string }
export interface Summary {
  trees: number;
  looked: number;
  bulk: number;
  /** Wires that bite or are sunk in and are still on. */
  cutOff: Named[];
  /** Wires that begin to mark: look again soon. */
  marking: Named[];
  water: Named[];
  wet: Named[];
  noBuds: Named[];
  loose: Named[];
  measured: number;
  notes: number;
  /** Due, and not looked at. */
  open: Named[];
}

const LOOKS = ["wire", "soil", "buds", "firm", "caliper", "roots", "branches"] as const;

function onlyBulk(answers: Answers): boolean {
  const given = LOOKS.map((what) => answers[what]).filter((a) => a !== undefined);
  return given.length > 0 && given.every((a) => a.bulk);
}

/** Sum up a walk. `names` knows the tags of trees that have left since. */
export function summary(
  trees: readonly TreeView[],
  records: readonly LocalRecord[],
  names: (id: string) => string = () => "",
): Summary {
  const answers = answersByTree(records);
  const tags = new Map(trees.map((t) => [t.id, t.tag]));
  const named = (test: (a: Answers) => boolean): Named[] =>
    [...answers].filter(([, a]) => test(a)).map(([id]) => ({ id, tag: tags.get(id) ?? names(id) }));
  const wire = (...states: string[]) => (a: Answers) => states.includes(a.wire?.value ?? "");
  const looked = named((a) => LOOKS.some((what) => a[what]));
  return {
    trees: trees.length,
    looked: looked.length,
    bulk: named(onlyBulk).length,
    cutOff: named(wire("biting", "sunk_in")),
    marking: named(wire("marking")),
    water: named((a) => a.soil?.value === "dry" && a.work?.value !== "watered"),
    wet: named((a) => a.soil?.value === "wet"),
    noBuds: named((a) => a.buds?.value === "none"),
    loose: named((a) => a.firm?.value === "loose"),
    measured: named((a) => a.caliper !== undefined).length,
    notes: named((a) => a.note !== undefined).length,
    open: trees.filter((t) => openDues(t, answers.get(t.id)).length > 0).map((t) => ({ id: t.id, tag: t.tag })),
  };
}

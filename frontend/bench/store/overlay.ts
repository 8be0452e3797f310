// A tree as screens see it: the mirror's row with this phone's own view laid over it.

import type { DueWhat, StandingRow, TreeRow, TreeView } from "../model/types";
import { t, word, type Text } from "../words";
import type { StoredTree } from "./schema";
import type { LocalView, Undone } from "./views";

const UNKNOWN: Omit<TreeRow, "id"> = {
  tag: "", species: "", phase: "seedling", sown: null, lot: null, bench: null, row: null, place: null,
  target: null, left: null, st: null,
};

/** Field by field: a bench of thousands is read when the app is opened, and spreading each takes five times as long. */
function plain(tree: StoredTree): TreeView {
  const { id, tag, species, phase, sown, lot, bench, row, place, target, left, told } = tree;
  let { st } = tree;
  return {
    id, tag, species, phase, sown, lot, bench, row, place, target, left, fresh: {}, local: false,
    get st() {
      if (!st && told) st = JSON.parse(told) as StandingRow;
      return st;
    },
  };
}

/** The mirror's row with the local view laid over it; undefined where neither knows the tree. */
export function overlay(tree: StoredTree | undefined, view: LocalView | undefined): TreeView | undefined {
  if (tree && !view) return plain(tree);
  if (!tree && !view?.isNew) return undefined;
  const id = tree?.id ?? view!.tree;
  const row = tree ? plain(tree) : { ...UNKNOWN, id };
  const laid = { ...row, ...view?.patch, fresh: view?.fresh ?? {}, local: !tree };
  return view?.undone ? view.undone.reduce(withUndone, laid) : laid;
}

const DAY = 24 * 3600_000;
const WHAT: Readonly<Record<DueWhat, Text>> = {
  wire: word("wire"),
  soil: word("soil"),
  buds: word("buds"),
  caliper: word("caliper"),
  firm: word("firm"),
  roots: word("roots"),
  branches: word("branches"),
};

/** A tree less one look, where the standing rests on just that look; a newer one of somebody else stays. */
function withUndone(tree: TreeView, { what, was, on, becomes }: Undone): TreeView {
  const last = tree.st?.last[what];
  const word = typeof was === "boolean" ? (was ? "firm" : "loose") : was;
  if (!tree.st || !last || last[0] !== word || tree.fresh[what]) return tree;
  // The shed's day may be another one than ours at midnight.
  if (Math.abs(Date.parse(last[1]) + DAY / 2 - Date.parse(on)) > 1.5 * DAY) return tree;
  if (becomes) return { ...tree, fresh: { ...tree.fresh, [what]: becomes } };
  const { [what]: _gone, ...rest } = tree.st.last;
  const due = tree.st.due.filter((one) => one.what !== what);
  if (what in WHAT) due.push({ what: what as DueWhat, why: t("{what} taken back here: look again", { what: t(WHAT[what as DueWhat]) }) });
  const wire = what === "wire" && tree.st.wire ? { ...tree.st.wire, state: "" as const } : tree.st.wire;
  return { ...tree, st: { ...tree.st, last: rest, due, wire } };
}

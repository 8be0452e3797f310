// How many trees on each bench ask for what. Kept beside the mirror, so that a list of benches reads no trees.

import type { DueWhat, TreeView } from "../model/types";
import { getMeta, setMeta } from "./meta";
import { overlay } from "./overlay";
import type { StoredTree } from "./schema";
import type { Tables } from "./tables";

/** `due`: trees with anything due; `whats`: by what; `bitten`: wires due that bit when last seen. */
export interface Tally { trees: number; due: number; whats: Partial<Record<DueWhat, number>>; bitten: number }
export type Tallies = Record<string, Tally>;

export function noTally(): Tally {
  return { trees: 0, due: 0, whats: {}, bitten: 0 };
}

/** Count a tree in (1) or out (-1) on the bench where it stands; what this phone has answered is not due. */
export function count(tallies: Tallies, tree: TreeView | undefined, by: 1 | -1): void {
  if (!tree?.bench || tree.left) return;
  const tally = (tallies[tree.bench] ??= noTally());
  const open = (tree.st?.due ?? []).filter((due) => !tree.fresh[due.what]).map((due) => due.what);
  tally.trees += by;
  if (open.length) tally.due += by;
  for (const what of open) tally.whats[what] = (tally.whats[what] ?? 0) + by;
  const wire = tree.fresh.wire ? String(tree.fresh.wire.state) : tree.st?.wire?.state;
  if (open.includes("wire") && (wire === "biting" || wire === "sunk_in")) tally.bitten += by;
}

async function ofAll(db: Tables): Promise<Tallies> {
  const tallies: Tallies = {};
  await db.trees.each((tree) => count(tallies, overlay(tree, undefined), 1));
  return tallies;
}

/** A morning's fetch brings every tree of the nursery: written in portions, between which a tap is heard. */
const AT_ONCE = 200;

async function recount(db: Tables, known: Tallies, ids: readonly string[], now: readonly StoredTree[]): Promise<void> {
  for (const tree of await db.trees.bulkGet([...ids])) if (tree) count(known, overlay(tree, undefined), -1);
  for (const tree of now) count(known, overlay(tree, undefined), 1);
}

/** Inside a transaction: write tree rows of the mirror, and count the difference they make. */
export async function putTrees(db: Tables, kept: readonly StoredTree[], gone: readonly string[]): Promise<void> {
  const known = await getMeta<Tallies>(db, "tallies");
  for (let from = 0; from < kept.length; from += AT_ONCE) {
    const some = kept.slice(from, from + AT_ONCE);
    if (known) await recount(db, known, some.map((tree) => tree.id), some);
    await db.trees.bulkPut(some);
  }
  if (known && gone.length) await recount(db, known, gone, []);
  if (gone.length) await db.trees.bulkDelete([...gone]);
  // A phone from before there were tallies counts all once.
  await setMeta(db, "tallies", known ?? (await ofAll(db)));
}

/** Inside a transaction: the tallies of the mirror with this phone's own unseen records laid over them. */
export async function tallies(db: Tables): Promise<Tallies> {
  const all = (await getMeta<Tallies>(db, "tallies")) ?? (await ofAll(db));
  const local = await db.local.toArray();
  const trees = await db.trees.bulkGet(local.map((view) => view.tree));
  local.forEach((view, i) => {
    const tree = trees[i];
    if (tree) count(all, overlay(tree, undefined), -1);
    count(all, overlay(tree, view), 1);
  });
  return all;
}

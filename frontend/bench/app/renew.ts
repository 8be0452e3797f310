// A bench's trees with some of them read anew.

import { inWalkingOrder } from "../model/order";
import type { TreeView } from "../model/types";

/** The trees that were `read`, but the very ones that are `shown` where they say the same: what is drawn of them stays. */
export function keeping(shown: readonly TreeView[], read: readonly TreeView[]): TreeView[] {
  const old = new Map(shown.map((tree) => [tree.id, tree]));
  return read.map((tree) => {
    const known = old.get(tree.id);
    return known && JSON.stringify(known) === JSON.stringify(tree) ? known : tree;
  });
}

/**
 * `views`: those of the trees `ids` that the phone still knows. Trees that have left the bench go, those that
 * came join; the order is made anew only where one of them moved.
 */
export function renewed(
  trees: readonly TreeView[], bench: string, ids: readonly string[], views: readonly TreeView[],
): TreeView[] {
  const asked = new Set(ids);
  const here = new Map(views.filter((v) => v.bench === bench && !v.left).map((v) => [v.id, v]));
  let moved = false;
  const kept = trees.flatMap((old) => {
    if (!asked.has(old.id)) return old;
    const now = here.get(old.id);
    here.delete(old.id);
    if (now && (now.row !== old.row || now.place !== old.place || now.tag !== old.tag)) moved = true;
    return now ?? [];
  });
  return moved || here.size ? inWalkingOrder([...kept, ...here.values()]) : kept;
}

// Trees by the end of their id, as the code of a printed tag has it.

import type { TreeView } from "../model/types";
import { tree } from "./mirror";
import type { Tables } from "./tables";

/** Keys only: some milliseconds for 5,000 trees, and asked once a scan. `end`: hex digits in any case. */
export async function findByEnd(db: Tables, end: string): Promise<TreeView[]> {
  const tail = end.toLowerCase();
  const keys = await Promise.all([db.trees.toCollection().primaryKeys(), db.local.toCollection().primaryKeys()]);
  const ids = new Set(keys.flat().filter((id) => id.endsWith(tail)));
  const found = await Promise.all([...ids].map((id) => tree(db, id)));
  return found.filter((one) => one !== undefined);
}

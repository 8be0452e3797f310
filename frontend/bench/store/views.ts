// What a phone's own records say of a tree before the shed has answered, as the phone keeps it.

import type { Fresh, FreshWhat, TreeRow } from "../model/types";

/** A look that the mirror counts and an unseen record of this phone takes back, or puts right (`becomes`). */
export interface Undone { what: FreshWhat; was: Fresh["state"]; on: string; becomes?: Fresh }

/** What this phone's unseen records say about one tree; made anew from them, never edited. */
export interface LocalView {
  tree: string;
  isNew: boolean;
  patch: Partial<Omit<TreeRow, "id" | "st">>;
  fresh: Partial<Record<FreshWhat, Fresh>>;
  undone?: Undone[];
  /** The bench that it was moved to here; `moved` 1 where the patch says where it stands. */
  bench?: string;
  moved?: 1;
  tagKey?: string;
}

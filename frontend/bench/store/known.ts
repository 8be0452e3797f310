// What this tab knows of the disk without asking. Never relied on: who uses it checks it where it writes.

import type { Clock } from "../model/hlc";
import type { LocalView } from "./views";

/** What numbers and stamps the next record. */
export interface Counters { clock: Clock; seq: number; offset: number }

export class Known {
  /** As of the last record; undefined until one was made or the disk was asked. */
  counters: Counters | undefined;
  /** How often another tab made this one doubt: what was asked before the last time is not to be learned after it. */
  doubts = 0;
  readonly #views = new Map<string, LocalView>();

  view(tree: string): LocalView | undefined {
    return this.#views.get(tree);
  }

  /** These local views were read or written. */
  views(views: Iterable<LocalView>): void {
    for (const view of views) this.#views.set(view.tree, view);
  }

  /** There are none of these trees. */
  none(trees: Iterable<string>): void {
    for (const tree of trees) this.#views.delete(tree);
  }

  noViews(): void {
    this.#views.clear();
  }

  /** Another tab has written. Number and views are compared with each record; the shed's clock is not. */
  doubt(): void {
    this.doubts += 1;
    this.counters = undefined;
  }
}

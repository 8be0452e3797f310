// What has changed since a bench was read, and in what portions it is read anew.

import type { Trees } from "../store";

/** So many trees are read anew at a time: more would be felt by the next tap. */
const SOME = 100;

export interface Portion {
  ids: string[];
  /** Those of them whose records somebody else may have changed. */
  doubted: string[];
}

export class Stale {
  #trees = new Set<string>();
  #doubted = new Set<string>();
  #all = false;

  /** `own`: by the walk itself, which knows its own records. */
  hear(trees: Trees, own: boolean): void {
    if (!trees) this.#all = true;
    for (const tree of trees ?? []) this.#trees.add(tree);
    // A tap elsewhere names few trees; what names many is a fetch, and that brings no records of a walk.
    if (!own && trees && trees.length <= SOME) for (const tree of trees) this.#doubted.add(tree);
  }

  /** All is being read. */
  clear(): void {
    this.#trees.clear();
    this.#doubted.clear();
    this.#all = false;
  }

  get some(): boolean {
    return this.#all || this.#trees.size > 0;
  }

  /** The next portion, `first` before others; "all" where nobody can say which trees. */
  take(first: readonly string[] = []): Portion | "all" {
    if (this.#all || first.length > SOME) return "all";
    const ids = [...new Set([...first, ...this.#trees])].slice(0, SOME);
    const doubted = ids.filter((id) => this.#doubted.delete(id));
    for (const id of ids) this.#trees.delete(id);
    return { ids, doubted };
  }
}

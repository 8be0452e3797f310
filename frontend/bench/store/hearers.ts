// Who wants to hear which trees have changed.

/** Ids of trees; undefined: any may have changed. */
export type Trees = readonly string[] | undefined;
export type Hearer = (trees: Trees) => void;

export class Hearers {
  readonly #all = new Set<Hearer>();

  add(hearer: Hearer): () => void {
    this.#all.add(hearer);
    return () => this.#all.delete(hearer);
  }

  tell(trees: Trees): void {
    if (trees?.length === 0) return;
    for (const hearer of this.#all) hearer(trees);
  }
}

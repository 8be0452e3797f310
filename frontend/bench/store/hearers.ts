// Who wants to hear which trees have changed: in this tab, and in others.

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

/** Tabs tell each other when something has changed, so that no count on a screen is stale. */
export function chorus(name: string, heard: (trees: Trees) => void): { tell: (trees: Trees) => void; close: () => void } {
  if (typeof BroadcastChannel === "undefined") return { tell: () => {}, close: () => {} };
  const channel = new BroadcastChannel(name);
  channel.onmessage = (event: MessageEvent<Trees>) => heard(event.data);
  let open = true;
  return {
    // Not before the tap that made the change is drawn: posting is felt under the thumb.
    tell: (trees) => void setTimeout(() => open && channel.postMessage(trees)),
    close: () => {
      open = false;
      channel.close();
    },
  };
}

// What has been answered on a walk, tree by tree: a tap is reckoned for its own tree, not for thousands.

import { batch, signal, type Signal } from "@preact/signals";
import type { LocalRecord } from "../model/types";
import { answersByTree, type Answers } from "../screens/logic/ask";

export class AnswerBook {
  readonly all = signal<Map<string, Answers>>(new Map());
  #records = new Map<string, LocalRecord[]>();
  /** One for each tree that was asked for: of many pots in sight only the one that a tap is about is reckoned anew. */
  readonly #each = new Map<string, Signal<Answers | undefined>>();

  /** A tree's answers; who asks hears of no other tree's. */
  of(tree: string): Answers | undefined {
    let mine = this.#each.get(tree);
    if (!mine) this.#each.set(tree, (mine = signal(this.all.peek().get(tree))));
    return mine.value;
  }

  /** Begin anew with these records, oldest first. */
  open(records: readonly LocalRecord[]): void {
    this.#records = new Map();
    for (const record of records) this.#add(record);
    this.#tell(answersByTree(records), this.#each.keys());
  }

  /** Records newer than all before. */
  add(records: readonly LocalRecord[]): void {
    for (const record of records) this.#add(record);
    this.#reckon(records.flatMap(({ record }) => record.tree ?? []));
  }

  /** All records of the walk about these trees, oldest first, instead of those known. */
  replace(trees: readonly string[], records: readonly LocalRecord[]): void {
    for (const tree of trees) this.#records.delete(tree);
    for (const record of records) this.#add(record);
    this.#reckon(trees);
  }

  #add(local: LocalRecord): void {
    const { tree } = local.record;
    if (!tree) return;
    const mine = this.#records.get(tree);
    if (mine) mine.push(local);
    else this.#records.set(tree, [local]);
  }

  #reckon(trees: readonly string[]): void {
    const all = new Map(this.all.peek());
    const some = new Set(trees);
    for (const tree of some) {
      const mine = answersByTree(this.#records.get(tree) ?? []).get(tree);
      if (mine) all.set(tree, mine);
      else all.delete(tree);
    }
    this.#tell(all, some);
  }

  #tell(all: Map<string, Answers>, changed: Iterable<string>): void {
    batch(() => {
      this.all.value = all;
      for (const tree of changed) {
        const mine = this.#each.get(tree);
        if (mine) mine.value = all.get(tree);
      }
    });
  }
}

// What has been answered on a walk, tree by tree: a tap is reckoned for its own tree, not for thousands.

import { signal } from "@preact/signals";
import type { LocalRecord } from "../model/types";
import { answersByTree, type Answers } from "../screens/logic/ask";

export class AnswerBook {
  readonly all = signal<Map<string, Answers>>(new Map());
  /** How many trees were answered beside those. */
  readonly beyond = signal(0);
  #records = new Map<string, LocalRecord[]>();

  /** Begin anew with these records, oldest first. */
  open(records: readonly LocalRecord[], beyond = 0): void {
    this.beyond.value = beyond;
    this.#records = new Map();
    for (const record of records) this.#add(record);
    this.all.value = answersByTree(records);
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
    for (const tree of new Set(trees)) {
      const mine = answersByTree(this.#records.get(tree) ?? []).get(tree);
      if (mine) all.set(tree, mine);
      else all.delete(tree);
    }
    this.all.value = all;
  }
}

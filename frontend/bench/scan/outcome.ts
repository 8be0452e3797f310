// What a scanned code means on this phone: a tree to open, a tree to ask about, or nothing, and what to do then.

import { readCode, type TagCode } from "../model/codes";
import type { TreeView } from "../model/types";
import type { Store } from "../store";
import { t } from "../words";
import type { FoundCode } from "./decode";

export type Outcome =
  | { what: "tree"; tree: TreeView }
  /** Most likely not the tree in hand: the grower decides. */
  | { what: "ask"; tree: TreeView; message: string }
  | { what: "none"; message: string };

/** A foreign code may be long; this much of it says which one it was. */
const SHOWN = 40;

type Finder = Pick<Store, "findByTag" | "findByEnd">;

async function tagged(store: Finder, tag: string): Promise<TreeView[]> {
  const key = tag.toUpperCase();
  return (await store.findByTag(tag)).filter((tree) => tree.tag.toUpperCase() === key);
}

async function ofOurs(code: TagCode, store: Finder): Promise<Outcome> {
  const found = await store.findByEnd(code.tree_end);
  const same = found.find((tree) => tree.tag === code.tag);
  if (same) return { what: "tree", tree: same };
  const now = found[0];
  if (now) {
    const message = t(
      "This label is out of date: it says {old}, and the tree's tag is now {tag}. Print it a new one.",
      { old: code.tag, tag: now.tag },
    );
    return { what: "ask", tree: now, message };
  }
  const namesake = (await tagged(store, code.tag))[0];
  if (namesake) {
    const message = t(
      "This label was printed for another tree, perhaps of another nursery. Your own {tag} is a different one.",
      { tag: code.tag },
    );
    return { what: "ask", tree: namesake, message };
  }
  const message = t(
    "The label says {tag}, and no such tree is on this phone. It is of another nursery, or new at the shed: then hand over and fetch.",
    { tag: code.tag },
  );
  return { what: "none", message };
}

/** What `text` of a code leads to. A grower's own codes count too where they say a tag and nothing else. */
export async function outcomeOf(text: string, store: Finder): Promise<Outcome> {
  const code = readCode(text);
  if (code) return ofOurs(code, store);
  const plain = text.trim();
  if (plain && plain.length <= 16) {
    const found = await tagged(store, plain);
    if (found.length === 1) return { what: "tree", tree: found[0]! };
  }
  const shown = plain.length > SHOWN ? `${plain.slice(0, SHOWN)}\u2026` : plain;
  const message = t(
    "A foreign code, not a tag of Misho: it says \u201c{text}\u201d. Type the tag that stands on the label.",
    { text: shown },
  );
  return { what: "none", message };
}

/** The code that is meant: ours before foreign ones, then the one nearest to the middle of the picture. */
export function meant(codes: readonly FoundCode[], width: number, height: number): FoundCode | undefined {
  const far = ({ corners }: FoundCode) => {
    const x = corners.reduce((sum, p) => sum + p.x, 0) / 4;
    const y = corners.reduce((sum, p) => sum + p.y, 0) / 4;
    return Math.hypot(x - width / 2, y - height / 2);
  };
  const rank = (code: FoundCode) => (readCode(code.text) ? 0 : 1e6) + far(code);
  return [...codes].sort((a, b) => rank(a) - rank(b))[0];
}

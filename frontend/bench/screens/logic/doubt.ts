// Why the criterion that holds a tree back is not met: seen to fail, not surely met yet, or not looked at. The shed
// reckons it too (nursery/reports/words.py); tests/vectors/doubt.json holds both.

/** "": what was seen says that it fails. */
export type Doubt = "" | "unsure" | "not_looked";

/** From here on it is rather met than not. */
const LIKELY = 0.5;

/** `p`: the chance that the tree is ready. */
export function doubtOf(p: number | null, notLooked: boolean): Doubt {
  if (notLooked) return "not_looked";
  return p !== null && p >= LIKELY ? "unsure" : "";
}

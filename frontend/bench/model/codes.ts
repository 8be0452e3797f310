// What the QR code of a printed tag says: the phone's twin of nursery/science/tag_codes.py, by shared vectors.

export interface TagCode {
  /** The printed length of the code's edge, without its quiet margin. [mm] */
  edge_mm: number;
  /** The last eight hex digits of the tree's id, in capitals. */
  tree_end: string;
  tag: string;
}

const FORM = /^MISHO\.(\d{3})\.([0-9A-F]{8})\.([^\u0000-\u001f\u007f]{1,16})$/u;

/** `MISHO.220.9F3A61C2.K041D` -> edge 22.0 mm, tree 9F3A61C2, tag K041D; undefined for a code that is not ours. */
export function readCode(text: string): TagCode | undefined {
  const found = FORM.exec(text);
  if (!found || found[1]! < "010") return undefined;
  return { edge_mm: Number(found[1]) / 10, tree_end: found[2]!, tag: found[3]! };
}

/** The part of a tree's id that a code carries. */
export function treeEnd(id: string): string {
  return id.replaceAll("-", "").slice(-8).toUpperCase();
}

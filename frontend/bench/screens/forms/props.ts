// What every form is given.

import type { Draft, Species, TreeView } from "../../model/types";

/** A draft about the tree, before it is known on which walk. */
export type Body = {
  [K in Draft["kind"]]: { kind: K; body: Extract<Draft, { kind: K }>["body"]; file?: ArrayBuffer };
}[Draft["kind"]];

export interface FormProps {
  tree: TreeView;
  species: Species | undefined;
  /** Saves, several as one, and closes the form when they are on the disk. */
  save: (body: Body | Body[]) => void;
  close: () => void;
}

// The first look at what was open: as the app was left, or else from the phone's memory. Imported before all else: the
// browser opens the memory while the code of the app is still made ready.

import { screenful } from "../screens/screenful";
import { firstLook, type FirstLook, type Reach } from "../store/first";
import { taken } from "./lastSeen";

/** What is in sight around the tree at hand, at the most. */
export function reach(): Reach {
  // The sheet's height is not known yet: what is in sight beside a low one must not come later.
  const { rows, columns } = screenful("low");
  // A column is seen by a part at both edges.
  return { rows, places: columns + 1 };
}

export const looking: Promise<FirstLook | undefined> = Promise.resolve(taken() ?? firstLook("misho", reach));

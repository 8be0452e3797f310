// The first look at the phone's memory. Imported before all else: the browser opens the memory while the code of the
// app is still made ready.

import { screenful } from "../screens/screenful";
import { firstLook } from "../store/first";

export const looking = firstLook("misho", () => {
  // The sheet's height is not known yet: what is in sight beside a low one must not come later.
  const { rows, columns } = screenful("low");
  // A column is seen by a part at both edges.
  return { rows, places: columns + 1 };
});

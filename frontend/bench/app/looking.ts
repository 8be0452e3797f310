// The first look at the phone's memory. Imported before all else: the browser opens the memory while the code of the
// app is still made ready.

import { screenful } from "../screens/screenful";
import { firstLook } from "../store/first";

export const looking = firstLook("misho", () => {
  const { rows, columns } = screenful();
  // A column is seen by a part at both edges.
  return { rows, places: columns + 1 };
});

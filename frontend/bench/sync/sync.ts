import type { Sync } from ".";
import type { Store } from "../store";

export function makeSync(_store: Store): Sync {
  throw new Error("not built yet");
}

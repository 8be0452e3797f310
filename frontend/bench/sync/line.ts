// What a round of sync has at hand: the phone's memory, the way to the shed, and when to write.

import type { MishoStore } from "../store";
import type { Wire } from "./wire";

/** Done when nobody would feel a write. */
export type Breath = () => Promise<void>;

export interface Line { store: MishoStore; wire: Wire; breath: Breath }

// What a round of sync has at hand: the phone's memory, the way to the shed, and when to use it.

import type { Breath, MishoStore } from "../store";
import type { Wire } from "./wire";

export interface Line { store: MishoStore; wire: Wire; breath: Breath }

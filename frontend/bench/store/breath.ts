// When to use the disk for what nobody waits for: a tap must wait until that is done.

/** Done when nobody would feel it. */
export type Breath = () => Promise<void>;

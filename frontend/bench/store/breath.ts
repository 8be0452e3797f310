// When to use the disk for what nobody waits for: a tap must wait until that is done.

/** Done when nobody would feel it. */
export type Breath = () => Promise<void>;

/** At once: where no thumb is to be spared. */
export const NO_BREATH: Breath = () => Promise.resolve();

// The phone's memory. The only room that touches IndexedDB. What opens it is not here, but in `open.ts`: that brings
// Dexie with it, and the first screen is drawn before.

export type { Cursor, FeedRow, Page } from "./mirror";
export type { Result } from "./outbox";
export type { Tally } from "./tallies";
export type { Hearer, Trees } from "./hearers";
export type { Photos, Room } from "./photos";
export type { StoredPhoto } from "./schema";
export { NO_BREATH, type Breath } from "./breath";
export type { MishoStore, Store, SyncSide } from "./faces";
export { StoreError } from "./errors";
export type { FirstLook } from "./first";
export { lateStore } from "./late";
export { newSigns, type Signs } from "./signs";

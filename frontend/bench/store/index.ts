// The phone's memory. The only room that touches IndexedDB.

export type { Cursor, FeedRow, Page } from "./mirror";
export type { Result } from "./outbox";
export type { Tally } from "./tallies";
export type { Hearer, Trees } from "./hearers";
export type { Photos, Room } from "./photos";
export type { StoredPhoto } from "./schema";
export type { MishoStore, Store, SyncSide } from "./faces";
export { StoreError } from "./errors";
export { openStore, openUncounted } from "./open";

// The only room that touches the network.

export type { PairOutcome, Sync, SyncOutcome, SyncStatus } from "./status";
export { makeSync } from "./sync";

/** A fault of the phone's memory, in words for the grower. */
export class StoreError extends Error {
  constructor(
    readonly code: "full" | "blocked" | "lost" | "missing" | "unknown",
    message: string,
    readonly mend: string,
    cause?: unknown,
  ) {
    super(message, { cause });
    this.name = "StoreError";
  }
}

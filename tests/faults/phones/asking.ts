// Questions to the simulator that started this process, as lines of JSON on standard output and input.

import { createInterface } from "node:readline";

type Answer = Record<string, unknown>;

const waiting = new Map<number, (answer: Answer) => void>();
let asked = 0;

/** Have something done at the shed: a code, a revocation, a restore, an edit ... */
export function ask(what: string, args: Record<string, unknown> = {}): Promise<Answer> {
  asked += 1;
  const id = asked;
  return new Promise((resolve) => {
    waiting.set(id, resolve);
    tell({ ask: id, what, ...args });
  });
}

export function tell(line: object): void {
  process.stdout.write(`${JSON.stringify(line)}\n`);
}

/** Hear answers, and give each other line to `job`. */
export function listen(job: (line: Answer) => void): void {
  const lines = createInterface({ input: process.stdin });
  // Without the simulator there is nothing to do.
  lines.on("close", () => process.exit(0));
  process.stdout.on("error", () => process.exit(0));
  lines.on("line", (text) => {
    const line = JSON.parse(text) as Answer;
    const resolve = waiting.get(line["answer"] as number);
    if (!resolve) return job(line);
    waiting.delete(line["answer"] as number);
    resolve(line);
  });
}

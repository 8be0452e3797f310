// One process for many runs: a line with a plan comes in, a line with what the phones hold goes out.

import "./life";
import { listen, tell } from "./asking";
import type { Plan } from "./plan";
import { Way } from "./proxy";
import { Run } from "./run";

// Dexie warns of each connection that a fault takes away.
console.warn = () => undefined;

const way = new Way();
await way.open();

async function play(plan: Plan): Promise<void> {
  way.shed = plan.port;
  way.struck.clear();
  const held = await new Run(plan, way).play();
  tell({ seed: plan.seed, struck: Object.fromEntries(way.struck), ...held });
}

listen((line) => {
  play(line as unknown as Plan).catch((error: Error) => {
    tell({ seed: line["seed"], phones: [], struck: {}, stuck: [`the simulator failed: ${error.stack}`] });
  });
});
tell({ ready: true });

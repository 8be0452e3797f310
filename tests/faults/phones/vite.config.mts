// Bundles the phones' real code and the simulator around it into one file for Node.

import { resolve } from "node:path";

const here = import.meta.dirname;
const modules = resolve(here, "../../../frontend/node_modules");

export default {
  root: here,
  logLevel: "warn",
  resolve: {
    alias: {
      dexie: resolve(modules, "dexie/dist/modern/dexie.mjs"),
      "fake-indexeddb": resolve(modules, "fake-indexeddb/build/esm/index.js"),
    },
  },
  ssr: { noExternal: true },
  build: {
    ssr: resolve(here, "main.ts"),
    outDir: process.env["FAULTS_OUT"],
    emptyOutDir: false,
    target: "node20",
    minify: false,
    rolldownOptions: { output: { entryFileNames: "phones.mjs" } },
  },
};

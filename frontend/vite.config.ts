// Builds the bench app (hashed files and a manifest for the Django view) and then its worker, as one file.

import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { resolve } from "node:path";
import { build, defineConfig, type Plugin } from "vite";
import { plain } from "./plain";

const root = import.meta.dirname;
const dist = resolve(root, "dist");

/** Chunks that each walk needs. A browser that knows the hint makes their code ready beside, not under the first taps. */
const WALKED = ["main", "open"];

/** The browser heeds the hint only before all code, and what vite adds to a chunk stands before its banner. */
function ready(): Plugin {
  return {
    name: "misho-ready",
    apply: "build",
    generateBundle: {
      order: "post",
      handler(_options, bundle) {
        for (const one of Object.values(bundle)) {
          if (one.type === "chunk" && WALKED.includes(one.name)) one.code = `//# allFunctionsCalledOnLoad\n${one.code}`;
        }
      },
    },
  };
}

/** The worker is built last, because it carries the list of what the build made. */
function worker(): Plugin {
  return {
    name: "misho-worker",
    apply: "build",
    async writeBundle() {
      const names = readdirSync(resolve(dist, "assets")).sort();
      const shell = createHash("sha256");
      for (const name of names) shell.update(name).update(readFileSync(resolve(dist, "assets", name)));
      shell.update(readFileSync(resolve(root, "templates/bench/index.html")));
      await build({
        configFile: false,
        root,
        logLevel: "warn",
        define: {
          __ASSETS__: JSON.stringify(names.map((name) => `/static/assets/${name}`)),
          __SHELL__: JSON.stringify(shell.digest("hex").slice(0, 16)),
        },
        build: {
          outDir: dist,
          emptyOutDir: false,
          copyPublicDir: false,
          target: "es2022",
          rolldownOptions: {
            input: resolve(root, "bench/worker/worker.ts"),
            output: { format: "iife", entryFileNames: "worker.js" },
          },
        },
      });
    },
  };
}

export default defineConfig({
  root,
  base: "/static/",
  publicDir: false,
  // The same library for browsers of these days: smaller than the one that old ones need.
  resolve: { alias: [{ find: /^dexie$/, replacement: "dexie/dist/modern/dexie.mjs" }] },
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  plugins: [plain("main"), ready(), worker()],
  build: {
    outDir: dist,
    emptyOutDir: true,
    manifest: true,
    target: "es2022",
    // Small files written into the page would need a looser content policy.
    assetsInlineLimit: 0,
    // The first file is none, and what is loaded later lies on the phone.
    modulePreload: false,
    rolldownOptions: {
      input: resolve(root, "bench/app/main.tsx"),
      // One file for all that the first screen needs: each is a question of its own when the app is opened.
      output: {
        codeSplitting: { groups: [{ name: "first", tags: ["$initial"] }] },
      },
    },
  },
});

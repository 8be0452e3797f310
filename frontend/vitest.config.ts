import { defineConfig } from "vitest/config";

// Times in the tests are written in UTC.
process.env["TZ"] = "UTC";

export default defineConfig({
  root: import.meta.dirname,
  resolve: { alias: [{ find: /^dexie$/, replacement: "dexie/dist/modern/dexie.mjs" }] },
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  test: {
    include: ["bench/**/*.test.ts", "bench/**/*.test.tsx"],
    environment: "happy-dom",
    setupFiles: ["bench/testing/setup.ts"],
    restoreMocks: true,
  },
});

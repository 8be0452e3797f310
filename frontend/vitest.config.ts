import { defineConfig } from "vitest/config";

export default defineConfig({
  root: import.meta.dirname,
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  test: {
    include: ["bench/**/*.test.ts", "bench/**/*.test.tsx"],
    environment: "happy-dom",
    setupFiles: ["bench/testing/setup.ts"],
    restoreMocks: true,
  },
});

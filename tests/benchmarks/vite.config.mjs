// Bundles one browser side of the benchmark, named by MISHO_SIDE, into one plain script in MISHO_OUT.

const side = process.env.MISHO_SIDE;

export default {
  root: import.meta.dirname,
  logLevel: "error",
  resolve: { alias: { events: "events/" } },
  define: { "process.env.NODE_ENV": '"production"', global: "globalThis" },
  build: {
    outDir: process.env.MISHO_OUT,
    emptyOutDir: false,
    lib: { entry: `${side}.ts`, formats: ["iife"], name: "side", fileName: () => `${side}.js` },
  },
};

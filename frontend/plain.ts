// The app's first file as a plain script instead of a module: browsers keep the compiled code of such a script beside
// it in the worker's cache, and do so for no module. What opens the app is then read, not compiled.

import type { ESTree, Plugin, Rolldown } from "vite";

/** Where it leaves what the modules that are loaded later import from it. */
const SHARED = "mishoFirst";
/** What stands in it for `import.meta`. */
const META = "mishoMeta";

interface Part { start: number; end: number }
type Named = { name: string } | { value: unknown };
const called = (name: Named) => ("name" in name ? name.name : String(name.value));

/** `code` with `text` in place of each part. */
function put<T extends Part>(code: string, parts: readonly T[], text: (part: T) => string): string {
  let [done, from] = ["", 0];
  for (const part of parts) {
    done += code.slice(from, part.start) + text(part);
    from = part.end;
  }
  return done + code.slice(from);
}

/** What it exports is taken as it is once it has run: a test sees to it that nothing exported changes later. */
export function plain(name: string): Plugin {
  return {
    name: "misho-plain",
    apply: "build",
    renderChunk: {
      order: "post",
      handler(code, chunk, _options, { chunks }) {
        const first = Object.values(chunks).find((one) => one.isEntry && one.name === name);
        if (!first || first.imports.length) this.error("What the first screen needs is not in one file.");
        const { body } = this.parse(code);
        if (chunk.fileName === first.fileName) {
          const given = body.filter((one) => one.type === "ExportNamedDeclaration");
          const pairs = given.flatMap((one) => one.specifiers.map((it) => `${called(it.exported)}:${called(it.local)}`));
          const inner = put(code, given, () => "").replaceAll("import.meta", META);
          return `(()=>{const ${META}={url:document.currentScript.src};\n${inner}\nglobalThis.${SHARED}={${pairs.join(",")}};})();`;
        }
        const taken = body.filter((one): one is ESTree.ImportDeclaration => {
          return one.type === "ImportDeclaration" && isOf(first, one.source.value);
        });
        return put(code, taken, (one) => {
          const pairs = one.specifiers.map((it) => {
            if (it.type !== "ImportSpecifier") this.error(`${chunk.name} takes the first file as a whole.`);
            return `${called(it.imported)}:${it.local.name}`;
          });
          return `const{${pairs.join(",")}}=globalThis.${SHARED};`;
        });
      },
    },
    generateBundle: {
      order: "post",
      handler(_options, bundle) {
        const first = Object.values(bundle).find((one) => one.type === "chunk" && one.isEntry);
        // A module is strict without a word, so what makes code small has left the word out.
        if (first?.type === "chunk") first.code = `"use strict";${first.code}`;
      },
    },
  };
}

function isOf(chunk: Rolldown.RenderedChunk, source: string): boolean {
  return chunk.fileName.endsWith(source.replace(/^\.\//, "/"));
}

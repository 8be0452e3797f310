// Text follows the size that browser, phone and grower ask for: no style tells it in pixels (WCAG 2.2, 1.4.4).

import { readdirSync, readFileSync } from "node:fs";
import { resolve } from "node:path";
import { expect, it } from "vitest";

const here = import.meta.dirname;

it.each(readdirSync(here).filter((name) => name.endsWith(".css")))("%s", (name) => {
  const css = readFileSync(resolve(here, name), "utf8");
  expect(css.match(/^\s*font(-size)?:.*\dpx.*$/gm) ?? []).toEqual([]);
});

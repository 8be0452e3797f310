// @vitest-environment node
// Every text of the app is asked of the catalogues, and German answers each: none missing, none left over.

import { describe, expect, it } from "vitest";
import { asked, bare, sources } from "../testing/texts";
import { own as german } from "./german";
import { shed } from "./german/shed";

const SOURCES = sources();
const ASKED = SOURCES.flatMap(asked);
const holes = (text: string): string[] => [...text.matchAll(/\{(\w+)\}/g)].map(([, name]) => name!).sort();
const formsOf = (entry: (typeof german)[string]): string[] => (typeof entry === "string" ? [entry] : [entry.one, entry.other]);

describe("German", () => {
  it("has every text that is asked for", () => {
    expect(ASKED.filter(({ key }) => !(key in german)).map(({ key, at }) => `${at} ${key}`)).toEqual([]);
  });

  it("has no text that nobody asks for", () => {
    const keys = new Set(ASKED.map(({ key }) => key));
    expect(Object.keys(german).filter((key) => !keys.has(key))).toEqual([]);
  });

  it("fills the same holes", () => {
    const other = ASKED.flatMap(({ key, one, at }) => {
      const wanted = holes(key);
      const mine = [...(one === undefined ? [] : [one]), ...formsOf(german[key] ?? key)];
      return mine.filter((text) => holes(text).join() !== wanted.join()).map((text) => `${at} ${text}`);
    });
    expect(other).toEqual([]);
  });

  it("counts where English counts, and nowhere else", () => {
    const other = ASKED.filter(({ key, one }) => (typeof german[key] === "object") !== (one !== undefined));
    expect(other.map(({ key, at }) => `${at} ${key}`)).toEqual([]);
  });

  it("has the shed's sentences with all that they are filled with, and none that the app means otherwise", () => {
    const filled = (text: string) => [...text.matchAll(/\{\w+(?::\w+)?\}/g)].map(([marker]) => marker).sort();
    const texts = Object.entries(shed) as [string, string][];
    expect(texts.filter(([key, text]) => filled(key).join() !== filled(text).join())).toEqual([]);
    expect(texts.filter(([key, text]) => key in german && german[key] !== text)).toEqual([]);
  });

  it("leaves no text empty, untrimmed, or in straight quotes", () => {
    const texts = Object.values({ ...german, ...shed }).flatMap(formsOf);
    expect(texts.filter((text) => text === "" || text !== text.trim() || text.includes('"'))).toEqual([]);
  });
});

describe("the sources", () => {
  it("show no text that they did not ask for", () => {
    expect(SOURCES.flatMap(bare).map(({ text, at }) => `${at} ${text}`)).toEqual([]);
  });

  it.each([
    ["an element's text", "<p>Foo</p>", ["Foo"]],
    ["a text in braces", 'let a = <p>{"Foo"}</p>;', ["Foo"]],
    ["either text of a choice", 'let a = <p>{b === "bar" ? "Foo" : "Foos"}</p>;', ["Foo", "Foos"]],
    ["a text on a condition", 'let a = <p>{b && "Foo"}</p>;', ["Foo"]],
    ["a text put together", "let a = <p>{`Foo ${b}`}</p>;", ["Foo"]],
    ["a label", 'let a = <p aria-label="foo" />;', ["foo"]],
    ["a title", 'let a = <p title={b ? "Foo" : c} />;', ["Foo"]],
    ["a placeholder", 'let a = <input placeholder="foo" />;', ["foo"]],
    ["a part's own word", 'let a = <Panel word={`Foo ${b}`} />;', ["Foo"]],
    ["a message", 'say({ message: "Foo is bar" });', ["Foo is bar"]],
    ["a table", 'const A = { a: "Foo is bar" };', ["Foo is bar"]],
  ])("would be caught with %s", (_what, text, shown) => {
    expect(bare({ name: "a.tsx", text }).map((one) => one.text)).toEqual(shown);
  });

  it.each([
    'let a = <p class="lead gap" data-what="foo" onClick={() => go("benches")}>{t("Foo")} {n}</p>;',
    'let a = <p title={t("Foo {b}", { b: c === "bar" ? d : e })}>{tn(n, "{n} foo", "{n} foos")}</p>;',
    'const A = { a: word("Foo is bar") };',
    'throw new Error("a screen without a desk");',
    'type A = "foo is bar";',
  ])("may say %s", (text) => {
    expect(bare({ name: "a.tsx", text })).toEqual([]);
  });
});

// Reads the app's own source: which texts it asks of the catalogues, and which it shows without asking.

import { readdirSync, readFileSync } from "node:fs";
import { join, relative } from "node:path";
import { parseSync } from "vite";

export interface Asked { key: string; one: string | undefined; at: string }
export interface Bare { text: string; at: string }
export interface Source { name: string; text: string }

interface Node { type: string; start: number; [more: string]: unknown }

const BENCH = join(import.meta.dirname, "..");
/** Not shown to a grower: tests and what they stand on, the names of columns, and the catalogues themselves. */
const ASIDE = /\.test\.tsx?$|^testing\/|^screens\/logic\/testing\.ts$|^store\/schema\.ts$|^words\/german\//;

export function sources(): Source[] {
  return readdirSync(BENCH, { recursive: true, encoding: "utf8" })
    .map((name) => name.replaceAll("\\", "/"))
    .filter((name) => /\.tsx?$/.test(name) && !ASIDE.test(name))
    .sort()
    .map((name) => ({ name, text: readFileSync(join(BENCH, name), "utf8") }));
}

function isNode(value: unknown): value is Node {
  return typeof value === "object" && value !== null && typeof (value as Node).type === "string";
}

function children(node: Node): Node[] {
  return Object.values(node).flatMap((value) => (Array.isArray(value) ? value.filter(isNode) : isNode(value) ? [value] : []));
}

function parsed({ name, text }: Source): Node {
  const { program, errors } = parseSync(name, text);
  if (errors.length) throw new Error(`${name}: ${errors[0]!.message}`);
  return program as unknown as Node;
}

function place(source: Source, node: Node): string {
  return `${relative(".", source.name)}:${source.text.slice(0, node.start).split("\n").length}`;
}

/** The text of a literal; undefined where it is put together. */
function literal(node: unknown): string | undefined {
  if (!isNode(node)) return undefined;
  if (node.type === "Literal" && typeof node.value === "string") return node.value;
  if (node.type !== "TemplateLiteral" || (node.expressions as Node[]).length) return undefined;
  return ((node.quasis as Node[])[0]!.value as { cooked: string }).cooked;
}

/** Which arguments of ours are texts: the key, and the text for one where it counts. */
const ASKING: Readonly<Record<string, { key: number; one?: number }>> = {
  t: { key: 0 }, tx: { key: 0 }, word: { key: 0 }, tn: { key: 2, one: 1 }, tnx: { key: 2, one: 1 },
};

function called(node: Node): string {
  const callee = node.callee as Node | undefined;
  return callee?.type === "Identifier" ? String(callee.name) : String((callee?.property as Node | undefined)?.name ?? "");
}

/** Every key that a source asks a catalogue for. */
export function asked(source: Source): Asked[] {
  const found: Asked[] = [];
  const visit = (node: Node): void => {
    const asks = node.type === "CallExpression" ? ASKING[called(node)] : undefined;
    const given = node.arguments as Node[];
    const key = asks && literal(given[asks.key]);
    if (asks && key !== undefined) {
      found.push({ key, one: asks.one === undefined ? undefined : literal(given[asks.one]), at: place(source, node) });
    }
    children(node).forEach(visit);
  };
  visit(parsed(source));
  return found;
}

/** Attributes and properties that no grower sees or hears; all others of an element count as shown. */
const QUIET = new Set([
  "accept", "autocapitalize", "autocomplete", "capture", "class", "d", "enterkeyhint", "for", "hook", "href", "id",
  "inputmode", "it", "key", "name", "points", "rel", "role", "src", "style", "target", "type", "value", "viewBox",
]);
const quiet = (name: string): boolean =>
  QUIET.has(name) || name.startsWith("data-") || (name.startsWith("aria-") && !/label|description|text/.test(name));
/** Words that the maker of the app reads, or a machine. */
const UNSEEN_CALLS = new Set([
  "same", "Error", "RangeError", "TypeError", "DOMException", "matchMedia", "querySelector", "querySelectorAll",
]);
const LETTERS = /\p{L}{2}/u;
/** Prose: two words with a gap between them. */
const PROSE = /\p{L}{2,}[,.:;]? \p{L}{2,}/u;
/** What is called so everywhere. */
const OWN_NAMES = new Set(["Misho", "XXXX-XXXX"]);

/**
 * Texts that a source shows without asking: any letters in an element or in an attribute that is shown, and any prose
 * elsewhere in the code.
 */
export function bare(source: Source): Bare[] {
  const found: Bare[] = [];
  const note = (node: Node, text: string, shape: RegExp): void => {
    const bared = text.trim();
    if (shape.test(bared) && !OWN_NAMES.has(bared)) found.push({ text: bared, at: place(source, node) });
  };
  const visit = (node: Node, shape: RegExp): void => {
    if (node.type === "ImportDeclaration" || node.type.startsWith("TSLiteral")) return;
    if (node.type === "CallExpression" || node.type === "NewExpression") {
      const name = called(node);
      if (UNSEEN_CALLS.has(name)) return;
      const given = node.arguments as Node[];
      const texts = new Set(Object.values(ASKING[name] ?? {}).map((at) => given[at]));
      // What is given to a function is not shown for that alone: a text in it has to be prose to be noticed.
      return [node.callee as Node, ...given].filter((one) => !texts.has(one) || literal(one) === undefined)
        .forEach((one) => visit(one, PROSE));
    }
    if (node.type === "JSXAttribute") {
      const { name } = node.name as Node;
      if (quiet(String(name)) || !isNode(node.value)) return;
      return visit(node.value, String(name).startsWith("on") ? PROSE : LETTERS);
    }
    if (node.type === "JSXText") return note(node, String(node.value), LETTERS);
    if (node.type === "Literal" && typeof node.value === "string") return note(node, node.value, shape);
    if (node.type === "TemplateLiteral") {
      (node.quasis as Node[]).forEach((part) => note(node, (part.value as { cooked: string }).cooked, shape));
      return (node.expressions as Node[]).forEach((one) => visit(one, shape));
    }
    if (node.type === "JSXExpressionContainer") return children(node).forEach((one) => visit(one, LETTERS));
    if (node.type === "ConditionalExpression" || node.type === "LogicalExpression") {
      // What is asked is not shown; what follows is.
      const asks = (node.test ?? (node.operator === "&&" ? node.left : undefined)) as Node | undefined;
      return children(node).forEach((one) => visit(one, one === asks ? PROSE : shape));
    }
    if (node.type === "ParenthesizedExpression") return children(node).forEach((one) => visit(one, shape));
    // The names of classes, not a word of them shown.
    if (node.type === "AssignmentExpression" && called({ ...node, callee: node.left }) === "className") return;
    children(node).forEach((one) => visit(one, PROSE));
  };
  visit(parsed(source), PROSE);
  return found;
}

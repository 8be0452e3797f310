// @vitest-environment node
import { expect, test } from "vitest";
import { wants } from "./routes";

const HERE = "https://misho.local";
const ASSETS = new Set(["/static/assets/main-abc.js"]);

test.each([
  ["GET", "navigate", "/bench/", "/bench/"],
  ["GET", "navigate", "/bench/?from=home#tree", "/bench/"],
  ["GET", "navigate", "/bench", "/bench/"],
  ["GET", "cors", "/static/assets/main-abc.js", "/static/assets/main-abc.js"],
  ["GET", "no-cors", "/static/assets/main-old.js", undefined],
  ["GET", "navigate", "/", undefined],
  ["GET", "navigate", "/benches/", undefined],
  ["GET", "cors", "/bench/", undefined],
  ["GET", "cors", "/api/sync/pull", undefined],
  ["GET", "navigate", "/api/schema", undefined],
  ["POST", "cors", "/api/sync/push", undefined],
  ["POST", "navigate", "/bench/", undefined],
  ["GET", "cors", "https://elsewhere.example/static/assets/main-abc.js", undefined],
])("%s %s %s", (method, mode, path, kept) => {
  expect(wants(method, mode, new URL(path, HERE), HERE, ASSETS)).toBe(kept);
});

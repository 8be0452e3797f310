// The worker: keeps the app's shell on the phone and gives it when there is no network. Nothing else: no
// record, no answer of the API and no page of the shed ever passes through it.

import { SHELL_PAGE, wants } from "./routes";

declare const self: ServiceWorkerGlobalScope;
/** Put in by the build: addresses of the hashed files, and a hash over them and the page. */
declare const __ASSETS__: string[];
declare const __SHELL__: string;

const PREFIX = "misho-shell-";
const CACHE = PREFIX + __SHELL__;
const ASSETS = new Set(__ASSETS__);

self.addEventListener("install", (event) => {
  // All or nothing, and no taking over: the running app goes on with its own files until the grower says so.
  event.waitUntil(Promise.all([fill(), letBrowserGive(event)]));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(Promise.all([sweep(), self.clients.claim()]));
});

self.addEventListener("message", (event) => {
  if ((event.data as { type?: string } | null)?.type === "SKIP_WAITING") void self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const kept = wants(request.method, request.mode, new URL(request.url), self.location.origin, ASSETS);
  if (kept) event.respondWith(give(kept, request));
});

async function fill(): Promise<void> {
  const cache = await caches.open(CACHE);
  const page = await fetchNew(SHELL_PAGE, "text/html");
  const text = await page.clone().text();
  // A page of another build would ask for files that this worker does not keep.
  const stranger = [...text.matchAll(/\/static\/assets\/[\w.-]+/g)].find(([name]) => !ASSETS.has(name));
  if (stranger) throw new Error(`The page asks for ${stranger[0]}, which is not of this build`);
  await Promise.all(__ASSETS__.map(async (asset) => cache.put(asset, asItCame((await had(asset)) ?? (await fetchNew(asset))))));
  await cache.put(SHELL_PAGE, forAll(page));
}

/**
 * A file stays what the network gave: only beside such a one does the browser keep its compiled code. What it varies by
 * is how it was packed for the way, and that is the same for all requests of one browser.
 */
function asItCame(answer: Response): Response {
  const varies = answer.headers.get("Vary") ?? "";
  return /^(accept-encoding)?$/i.test(varies) ? answer : forAll(answer);
}

/** From an older version's cache; one that was made anew there has no address, and is fetched again. */
async function had(asset: string): Promise<Response | undefined> {
  const found = await caches.match(asset, { ignoreVary: true });
  return found?.url ? found : undefined;
}

/** One for every language and every session: by its rule the browser would go by what an answer varies by, and miss it. */
function forAll(answer: Response): Response {
  const headers = new Headers(answer.headers);
  headers.delete("Vary");
  return new Response(answer.body, { status: answer.status, headers });
}

/** Where a browser can, it takes page and files from the cache itself, and what opens the app waits for no worker. */
async function letBrowserGive(event: ExtendableEvent & { addRoutes?: (rules: object[]) => Promise<void> }): Promise<void> {
  const source = { cacheName: CACHE };
  const page = { urlPattern: { pathname: SHELL_PAGE, search: "" }, requestMode: "navigate" };
  const files = { urlPattern: { pathname: "/static/assets/*", search: "" } };
  await event.addRoutes?.([{ condition: page, source }, { condition: files, source }]).catch(() => undefined);
}

async function fetchNew(path: string, type = ""): Promise<Response> {
  const answer = await fetch(path, { cache: "reload", credentials: "omit", redirect: "error" });
  if (!answer.ok || !(answer.headers.get("Content-Type") ?? "").startsWith(type)) {
    throw new Error(`${path} answered ${answer.status}`);
  }
  return answer;
}

async function sweep(): Promise<void> {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(PREFIX) && name !== CACHE).map((name) => caches.delete(name)));
}

/** From the phone first; a phone that has thrown its cache away asks the shed. */
async function give(path: string, request: Request): Promise<Response> {
  const cache = await caches.open(CACHE);
  return (await cache.match(path, { ignoreVary: true })) ?? fetch(request);
}

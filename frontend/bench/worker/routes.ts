// What the worker answers, and what it leaves alone.

export const SHELL_PAGE = "/bench/";

/** The address in the cache that answers this request; undefined: it is none of the worker's business. */
export function wants(
  method: string,
  mode: string,
  url: URL,
  origin: string,
  assets: ReadonlySet<string>,
): string | undefined {
  if (method !== "GET" || url.origin !== origin) return undefined;
  if (mode === "navigate") return url.pathname === SHELL_PAGE || url.pathname === "/bench" ? SHELL_PAGE : undefined;
  return assets.has(url.pathname) ? url.pathname : undefined;
}

import type { Store } from ".";

export function openStore(): Promise<Store> {
  return Promise.reject(new Error("not built yet"));
}

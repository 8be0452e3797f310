// The installed app: whether we run in it, how to get into it, and new versions that wait for the grower.

import { signal } from "@preact/signals";

interface InstallPrompt extends Event { prompt(): Promise<void> }

/** The browser's own offer to install, where it makes one. */
export const offer = signal<InstallPrompt | undefined>(undefined);
/** A new version is on the phone and waits. */
export const newer = signal<ServiceWorker | undefined>(undefined);
/** The app opens without a network: its worker is there. */
export const offline = signal(false);
export const installed = signal(standalone());

/** Whether the browser has promised to keep what is recorded; undefined: not asked yet, or it cannot say. */
export const kept = signal<boolean | undefined>(undefined);

/** Ask what the browser has promised so far. */
export async function askKept(): Promise<void> {
  kept.value = await navigator.storage?.persisted?.();
}

/** Ask it to promise. */
export async function askToKeep(persist: () => Promise<boolean>): Promise<void> {
  kept.value = await persist();
}

function standalone(): boolean {
  const apple = "standalone" in navigator && navigator.standalone === true;
  return apple || matchMedia("(display-mode: standalone)").matches;
}

export function isApple(): boolean {
  return /iPhone|iPad|iPod/.test(navigator.userAgent);
}

addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  offer.value = event as InstallPrompt;
});
addEventListener("appinstalled", () => {
  installed.value = true;
  offer.value = undefined;
});

function watch(registration: ServiceWorkerRegistration): void {
  const note = () => {
    if (registration.waiting && navigator.serviceWorker.controller) newer.value = registration.waiting;
  };
  note();
  registration.addEventListener("updatefound", () => {
    registration.installing?.addEventListener("statechange", note);
  });
}

/** Register the worker. Without one (plain http on a LAN) the app runs, but does not open without a network. */
export async function registerWorker(): Promise<void> {
  if (!("serviceWorker" in navigator)) return;
  try {
    watch(await navigator.serviceWorker.register("/serviceworker.js", { scope: "/" }));
    await navigator.serviceWorker.ready;
    offline.value = true;
  } catch {
    // Told on the phone's own screen: nothing that is recorded depends on it.
    offline.value = false;
  }
}

/** Let the waiting version take over; the page opens anew once it has. */
export function takeNewer(): void {
  const waiting = newer.value;
  if (!waiting) return;
  navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
  waiting.postMessage({ type: "SKIP_WAITING" });
}

// What every screen has at hand: the phone's memory, the way to the shed, the walk.

import { createContext } from "preact";
import { useContext, useEffect, useState } from "preact/hooks";
import { effect, signal, type Signal } from "@preact/signals";
import { StoreError, type Store } from "../store";
import type { Sync } from "../sync";
import type { Draft, Me, Species } from "../model/types";
import { t } from "../words";
import { buzz } from "./senses";
import { Walk } from "./walk";

export interface Fault { message: string; mend: string }

export interface Desk {
  store: Store;
  sync: Sync;
  walk: Walk;
  me: Signal<Me | undefined>;
  species: Signal<Map<string, Species>>;
  fault: Signal<Fault | undefined>;
  /** The last round that handed anything over. */
  handed: Signal<{ at: number; pushed: number; setAside: number } | undefined>;
}

/** What happened and what to do, from whatever was thrown. */
export function faultOf(error: unknown): Fault {
  if (error instanceof StoreError) return { message: error.message, mend: error.mend };
  const text = error instanceof Error ? error.message : String(error);
  const mend = t("Try once more; if it stays, close Misho and open it again.");
  return { message: t("Something went wrong: {what}.", { what: text }), mend };
}

export function notSaved(error: unknown): Fault {
  const { message, mend } = faultOf(error);
  return { message: t("Not saved. {why}", { why: message }), mend };
}

export function makeDesk(store: Store, sync: Sync): Desk {
  const fault = signal<Fault | undefined>(undefined);
  return {
    store,
    sync,
    fault,
    walk: new Walk(store, (error, saving) => {
      if (saving && error !== undefined) buzz("failed");
      fault.value = error === undefined ? undefined : saving ? notSaved(error) : faultOf(error);
    }),
    me: signal(undefined),
    species: signal(new Map()),
    handed: signal(undefined),
  };
}

/** Read again who this phone is and which species the shed knows. What is as it was is not drawn anew. */
export async function refresh(desk: Desk): Promise<void> {
  const [me, species] = await Promise.all([desk.store.me(), desk.store.species()]);
  if (!same(me, desk.me.peek())) desk.me.value = me;
  if (!same([...species], [...desk.species.peek()])) desk.species.value = species;
}

function same(one: unknown, other: unknown): boolean {
  return JSON.stringify(one) === JSON.stringify(other);
}

/** A viewer's phone looks only: the shed would refuse what it records. */
export function mayRecord(desk: Desk): boolean {
  return desk.me.value?.role !== "viewer";
}

export const DeskContext = createContext<Desk | undefined>(undefined);

export function useDesk(): Desk {
  const desk = useContext(DeskContext);
  if (!desk) throw new Error("a screen was drawn without a desk");
  return desk;
}

/** The newest answer of `load`, asked again whenever the store says that something changed. */
export function useLive<T>(load: (desk: Desk) => Promise<T>, deps: unknown[] = []): T | undefined {
  const desk = useDesk();
  const [value, setValue] = useState<T | undefined>(undefined);
  useEffect(() => {
    let on = true;
    const stop = effect(() => {
      void desk.store.version.value;
      load(desk).then(
        (v) => on && setValue(() => v),
        (error: unknown) => (desk.fault.value = faultOf(error)),
      );
    });
    return () => {
      on = false;
      stop();
    };
  }, deps);
  return value;
}

/** Save records outside of a walk's own buttons; false where it failed (the screen says why). */
export async function save(desk: Desk, drafts: Draft[]): Promise<boolean> {
  try {
    await desk.store.capture(drafts);
    desk.fault.value = undefined;
    return true;
  } catch (error) {
    desk.fault.value = notSaved(error);
    return false;
  }
}

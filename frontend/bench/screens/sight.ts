// Which part of a bench is in sight, and how to bring a tree into it.

import { effect } from "@preact/signals";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { RefObject } from "preact";
import { useDesk } from "../app/desk";
import { AT_ONCE, partOf, toward, type Part, type Pot, type Slats } from "./logic/slats";
import { screenful } from "./screenful";

/** What lies around it is drawn when nothing has moved for so long, a little at a time with a breath between. [ms] */
const AROUND_MS = 300;
const BREATH_MS = 60;

/** What is in sight around the tree at hand, and no more, so that an app opened again draws only once. */
function firstPart(here: { slat: number; column: number } | undefined): Part {
  const first = screenful("high");
  const top = Math.max(0, (here?.slat ?? 0) - first.rows + 2);
  const column = here?.column ?? 1;
  const left = Math.max(1, column - first.columns + 1);
  // Scrolled sideways, the columns at both edges are in sight by a part.
  return { top, bottom: top + first.rows, left, right: left + first.columns + (column < first.columns ? 0 : 1) };
}
/** A tree is brought so far from the edges that its neighbours are in sight, where there is room. [rows, columns] */
const ROOM = { rows: 1, columns: 0.5 };

interface Sizes { row: number; column: number; rows: number; columns: number }

/** How large a row and a column are drawn, and how many there is room for. */
function sizesOf(room: HTMLElement, slats: HTMLElement, columns: number): Sizes {
  const row = room.querySelector<HTMLElement>(".row-name")?.offsetHeight || 66;
  const column = slats.scrollWidth / Math.max(1, columns);
  return { row, column, rows: room.clientHeight / row, columns: slats.clientWidth / column };
}

/** Where to scroll so that what lies from `at` to `at + 1` is in sight with a margin; all in rows or columns. */
function nearest(at: number, from: number, count: number, margin: number): number {
  const spare = Math.max(0, Math.min(margin, (count - 1) / 2));
  if (at - spare < from) return Math.max(0, at - spare);
  if (at + 1 + spare > from + count) return at + 1 + spare - count;
  return from;
}

export interface View {
  room: RefObject<HTMLDivElement | null>;
  slats: RefObject<HTMLDivElement | null>;
  part: Part;
}

/** Follows scrolling and the tree at hand. `whole`: draw all of it in the end. */
export function useSight(rows: Slats | undefined, whole: boolean): View {
  const { walk } = useDesk();
  const room = useRef<HTMLDivElement>(null);
  const slats = useRef<HTMLDivElement>(null);
  const [part, setPart] = useState<Part>(() => firstPart(rows?.at(walk.state.peek()?.tree ?? "")));
  const some = rows !== undefined && rows.all.length > 0;
  const known = useRef({ rows, whole, part });
  known.current = { rows, whole, part };
  const anew = useRef<() => void>(undefined);

  useLayoutEffect(() => {
    const [outer, inner] = [room.current, slats.current];
    if (!outer || !inner || !some) return;
    const draw = (next: Part) => {
      known.current.part = next;
      setPart(next);
    };
    const seen = () => {
      const { row, column, ...count } = sizesOf(outer, inner, known.current.rows?.columns ?? 1);
      return { top: outer.scrollTop / row, left: inner.scrollLeft / column, ...count };
    };
    let growing: ReturnType<typeof setTimeout> | undefined;
    const grow = () => {
      const { rows: all, whole: entire, part: now } = known.current;
      const around = partOf(seen(), undefined);
      const next = toward(now, all && entire ? wholeOf(all, around) : around);
      if (next === now) return;
      draw(next);
      growing = setTimeout(grow, BREATH_MS);
    };
    const later = () => {
      clearTimeout(growing);
      growing = setTimeout(grow, AROUND_MS);
    };
    anew.current = later;
    // What is in sight and no more, as long as nothing was drawn yet.
    let spare = { rows: 0, columns: 0 };
    const look = () => {
      draw(partOf(seen(), known.current.part, spare));
      spare = AT_ONCE;
      later();
    };
    const size = () => `${outer.clientWidth} ${outer.clientHeight}`;
    let shown = "";
    const show = () => {
      shown = size();
      const at = known.current.rows?.at(walk.state.peek()?.tree ?? "");
      if (at) {
        const { row, column, ...count } = sizesOf(outer, inner, known.current.rows?.columns ?? 1);
        outer.scrollTop = row * nearest(at.slat, outer.scrollTop / row, count.rows, ROOM.rows);
        inner.scrollLeft = column * nearest(at.column - 1, inner.scrollLeft / column, count.columns, ROOM.columns);
      }
      look();
    };
    const stop = effect(() => {
      void walk.state.value?.tree;
      show();
    });
    // The next tree's sheet may be taller and leave less room: its cell must not slip out of sight. A size that was
    // shown already, such as the first that an observer tells, is not laid out again.
    const sizes = new ResizeObserver(() => void (size() === shown || show()));
    sizes.observe(outer);
    const ends = new AbortController();
    const passive = { passive: true, signal: ends.signal };
    outer.addEventListener("scroll", look, passive);
    inner.addEventListener("scroll", look, passive);
    // Not while a thumb is at work.
    document.addEventListener("pointerdown", later, passive);
    return () => {
      clearTimeout(growing);
      stop();
      sizes.disconnect();
      ends.abort();
    };
  }, [some]);
  // Trees that came, or are known since, may stand beyond what was the whole of it.
  useEffect(() => anew.current?.(), [rows]);
  return { room, slats, part };
}

/** All of it, and what is in sight beyond its end: a part that did not cover that would be drawn anew at each step. */
function wholeOf({ all, columns }: Slats, around: Part): Part {
  const [bottom, right] = [Math.max(all.length, around.bottom), Math.max(columns + 1, around.right)];
  return { top: 0, bottom, left: 1, right };
}

/** The keyboard's way about a bench: arrows go to the neighbours, Home and End along the row. */
export function useArrows(rows: Slats | undefined): (event: KeyboardEvent) => void {
  const { walk } = useDesk();
  const wanted = useRef(false);
  useEffect(() =>
    effect(() => {
      const here = walk.state.value?.tree;
      if (!wanted.current) return;
      wanted.current = false;
      // Its cell is drawn by then, where it was not yet.
      requestAnimationFrame(() => document.getElementById(`cell-${here}`)?.focus({ preventScroll: true }));
    }), []);
  return (event) => {
    const to = rows && neighbour(rows, walk.state.peek()?.tree ?? "", event.key);
    if (!to) return;
    event.preventDefault();
    wanted.current = true;
    walk.select(to);
  };
}

/** The tree that a key leads to from a tree. */
export function neighbour(rows: Slats, tree: string, key: string): string | undefined {
  const at = rows.at(tree);
  if (!at) return undefined;
  const row = rows.all[at.slat]?.pots ?? [];
  const mine = row.findIndex((p) => p.tree.id === tree);
  if (key === "ArrowRight") return row[mine + 1]?.tree.id;
  if (key === "ArrowLeft") return row[mine - 1]?.tree.id;
  if (key === "Home") return row[0]?.tree.id;
  if (key === "End") return row.at(-1)?.tree.id;
  const step = { ArrowDown: 1, ArrowUp: -1, PageDown: 5, PageUp: -5 }[key];
  if (!step) return undefined;
  const last = rows.all.length - 1;
  for (let slat = Math.min(last, Math.max(0, at.slat + step)); rows.all[slat]; slat += Math.sign(step)) {
    const pots = rows.all[slat]?.pots ?? [];
    const far = (pot: Pot) => Math.abs(pot.column - at.column);
    const near = [...pots].sort((a, b) => far(a) - far(b))[0];
    if (near) return near.tree.id;
  }
  return undefined;
}

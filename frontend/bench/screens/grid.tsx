// The bench as it stands: rows and places, each tree a label in its pot.

import { computed, effect } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { useDesk } from "../app/desk";
import type { TreeView } from "../model/types";
import { cellOf, type Look } from "./logic/ask";
import { slats, type Slat } from "./logic/slats";
import { many } from "./logic/words";

const SPOKEN: Readonly<Record<Look, string>> = {
  quiet: "nothing due",
  due: "due:",
  done: "looked at:",
  hand: "wants a hand:",
};

function Cell({ tree }: { tree: TreeView }) {
  const { walk } = useDesk();
  // A tap draws anew only the cells whose words it changes.
  const shown = useMemo(
    () =>
      computed(() => {
        const cell = cellOf(tree, walk.answers.value.get(tree.id));
        return `${cell.look}|${cell.word}`;
      }),
    [tree],
  );
  const current = useMemo(() => computed(() => walk.state.value?.tree === tree.id), [tree.id]);
  const [look = "quiet", word = ""] = shown.value.split("|") as [Look, string];
  const here = current.value;
  return (
    <button
      class="cell"
      id={`cell-${tree.id}`}
      data-tree={tree.tag}
      data-look={look}
      aria-current={here ? "true" : undefined}
      style={tree.place ? { gridColumn: tree.place } : undefined}
      onClick={() => walk.select(tree.id)}
    >
      <span class="face">
        <span class={tree.tag.length > 6 ? "inner long" : "inner"}>
          {tree.tag} <span class="unseen">{SPOKEN[look]}</span>
          <i>{word}</i>
        </span>
      </span>
    </button>
  );
}

interface RowProps { slat: Slat }

function RowName({ slat, pick }: RowProps & { pick: () => void }) {
  return (
    <button class="row-name" data-action="row-soil" data-row={slat.row} onClick={pick}>
      <span class="unseen">{slat.row ? "Row " : "Trees without a place "}</span>
      <b>{slat.row || "?"}</b>
      <span aria-hidden="true">{slat.row ? (slat.row % 2 ? "\u2192" : "\u2190") : ""}</span>
      <span class="unseen">, {many(slat.trees.length, "tree")}: soil for all of it</span>
    </button>
  );
}

function Row({ slat }: RowProps) {
  const way = slat.row % 2 ? "left to right" : "right to left";
  return (
    <div class="slat" role="group" aria-label={slat.row ? `Row ${slat.row}, walked ${way}` : "Without a place"}>
      {slat.trees.map((tree) => (
        <Cell key={tree.id} tree={tree} />
      ))}
      {slat.holes.map((place) => (
        <span key={place} class="hole" style={{ gridColumn: place }} />
      ))}
    </div>
  );
}

/** Keeps the cell of the tree at hand in sight, within the room that this ref is given to. */
function useInSight(some: boolean) {
  const { walk } = useDesk();
  const room = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const show = () => {
      const here = walk.state.peek()?.tree;
      document.getElementById(`cell-${here}`)?.scrollIntoView({ block: "nearest", inline: "nearest" });
    };
    const stop = effect(() => {
      void walk.state.value?.tree;
      show();
    });
    // The next tree's sheet may be taller and leave less room: its cell must not slip out of sight.
    const sizes = new ResizeObserver(show);
    if (room.current) sizes.observe(room.current);
    return () => {
      stop();
      sizes.disconnect();
    };
  }, [some]);
  return room;
}

/** Row names stay where they are while the bench moves past them sideways. */
export function Grid({ soilFor }: { soilFor: (trees: TreeView[], name: string) => void }) {
  const { walk } = useDesk();
  const bench = walk.bench.value;
  const trees = walk.trees.value;
  const room = useInSight(trees.length > 0);
  if (!bench) return <div class="grid-room" />;
  const rows = slats(bench, trees);
  const places = Math.max(bench.places, ...trees.map((t) => t.place ?? 0));
  const name = (slat: Slat) => (slat.row ? `row ${slat.row}` : "trees without a place");
  return (
    <div class="grid-room" ref={room}>
      <div class="row-names">
        {rows.map((slat) => (
          <RowName key={slat.row} slat={slat} pick={() => soilFor(slat.trees, name(slat))} />
        ))}
      </div>
      <div class="slats" style={{ "--places": places }}>
        {rows.map((slat) => (
          <Row key={slat.row} slat={slat} />
        ))}
        {!trees.length && <p class="empty">No trees stand on this bench.</p>}
      </div>
    </div>
  );
}

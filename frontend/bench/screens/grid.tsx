// The bench as it stands: rows and places, each tree a label in its pot.

import { useEffect, useRef } from "preact/hooks";
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
  const cell = cellOf(tree, walk.answers.value.get(tree.id));
  const here = walk.state.value?.tree === tree.id;
  return (
    <button
      class="cell"
      id={`cell-${tree.id}`}
      data-tree={tree.tag}
      data-look={cell.look}
      aria-current={here ? "true" : undefined}
      aria-label={`${tree.tag}, ${SPOKEN[cell.look]} ${cell.word}`.trim()}
      style={tree.place ? { gridColumn: tree.place + 1 } : undefined}
      onClick={() => walk.select(tree.id)}
    >
      <span class="face">
        <span class={tree.tag.length > 6 ? "inner long" : "inner"}>
          {tree.tag}
          <i>{cell.word || "\u00a0"}</i>
        </span>
      </span>
    </button>
  );
}

function Row({ slat, pick }: { slat: Slat; pick: () => void }) {
  const way = slat.row % 2 ? "left to right" : "right to left";
  const name = slat.row ? `Row ${slat.row}, walked ${way}` : "Trees without a place";
  return (
    <div class="slat" role="group" aria-label={name}>
      <button
        class="row-name"
        data-action="row-soil"
        data-row={slat.row}
        aria-label={`${name}, ${many(slat.trees.length, "tree")}: soil for the row`}
        onClick={pick}
      >
        <b>{slat.row || "?"}</b>
        <span aria-hidden="true">{slat.row ? (slat.row % 2 ? "\u2192" : "\u2190") : ""}</span>
      </button>
      {slat.trees.map((tree) => (
        <Cell key={tree.id} tree={tree} />
      ))}
      {slat.holes.map((place) => (
        <span key={place} class="hole" style={{ gridColumn: place + 1 }} />
      ))}
    </div>
  );
}

export function Grid({ soilFor }: { soilFor: (trees: TreeView[], name: string) => void }) {
  const { walk } = useDesk();
  const room = useRef<HTMLDivElement>(null);
  const here = walk.state.value?.tree;
  const bench = walk.bench.value;
  const trees = walk.trees.value;
  useEffect(() => {
    if (here) document.getElementById(`cell-${here}`)?.scrollIntoView({ block: "nearest", inline: "nearest" });
  }, [here, trees.length > 0]);
  if (!bench) return <div class="grid-room" />;
  const rows = slats(bench, trees);
  const places = Math.max(bench.places, ...trees.map((t) => t.place ?? 0));
  return (
    <div class="grid-room" ref={room} style={{ "--places": places }} tabIndex={-1}>
      {rows.map((slat) => (
        <Row
          key={slat.row}
          slat={slat}
          pick={() => soilFor(slat.trees, slat.row ? `row ${slat.row}` : "trees without a place")}
        />
      ))}
      {!trees.length && <p class="empty">No trees stand on this bench.</p>}
    </div>
  );
}

// The bench as it stands: rows and places, each tree a label in its pot. Of a large bench only what is in
// sight is drawn, and always the tree at hand, so that keyboard and reader find it.

import { computed } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { useDesk } from "../app/desk";
import type { TreeView } from "../model/types";
import type { Look } from "./logic/ask";
import { cellOn } from "./logic/plan";
import { slats, WHOLE, type Part, type Pot, type Slat } from "./logic/slats";
import { t, word, type Text } from "../words";
import { useArrows, useSight } from "./sight";

const SPOKEN: Readonly<Record<Look, Text>> = {
  quiet: word("nothing due"),
  due: word("due"),
  done: word("looked at"),
  hand: word("wants a hand"),
};

/** As a reader says it: what is written on the pot first, so that who speaks to the phone can say that. */
function spoken(tag: string, look: Look, text: string): string {
  const state = look === "quiet" && text ? t("not on the plan") : t(SPOKEN[look]);
  return `${text ? `${tag} ${text}` : tag}, ${state}`;
}

function Cell({ tree, column, here }: Pot & { here: boolean }) {
  const { walk } = useDesk();
  // A tap draws anew only the cells whose words it changes, and reckons only the one whose answers.
  const shown = useMemo(() => {
    const mine = computed(() => walk.answers.value.get(tree.id));
    return computed(() => {
      const cell = cellOn(walk.stops.value, tree, mine.value);
      return `${cell.look}|${cell.word}`;
    });
  }, [tree]);
  const [look = "quiet", text = ""] = shown.value.split("|") as [Look, string];
  return (
    <button
      class="cell"
      id={`cell-${tree.id}`}
      data-tree={tree.tag}
      data-look={look}
      aria-label={spoken(tree.tag, look, text)}
      aria-current={here ? "true" : undefined}
      tabIndex={here ? 0 : -1}
      style={{ gridColumn: column }}
      onClick={() => walk.select(tree.id)}
    >
      <span class={tree.tag.length > 6 ? "face long" : "face"}>
        {tree.tag} <i class={text.length > 7 ? "long" : undefined}>{text}</i>
      </span>
    </button>
  );
}

interface RowProps { slat: Slat; at: number; pots: readonly Pot[]; part: Part }

function RowName({ row, at, pick }: { row: number; at: number; pick: () => void }) {
  const name = row ? t("Row {row}: soil for all of it", { row }) : t("Trees without a place: soil for all of them");
  return (
    <button class="row-name" data-action="row-soil" data-row={row} aria-label={name} style={{ gridRow: at + 1 }} onClick={pick}>
      <b aria-hidden="true">{row || "?"}</b>
      <span aria-hidden="true">{row ? (row % 2 ? "\u2192" : "\u2190") : ""}</span>
    </button>
  );
}

function Row({ slat, at, pots, part, here }: RowProps & { here: string }) {
  const { row } = slat;
  const placed = row % 2 ? t("Row {row}, walked left to right", { row }) : t("Row {row}, walked right to left", { row });
  const name = row ? placed : t("Without a place");
  return (
    <div class="slat" role="group" aria-label={name} style={{ gridRow: at + 1 }}>
      {pots.map((pot) => (
        <Cell key={pot.tree.id} {...pot} here={pot.tree.id === here} />
      ))}
      {slat.holes
        .filter((place) => place >= part.left && place < part.right)
        .map((place) => (
          <span key={place} class="hole" style={{ gridColumn: place }} />
        ))}
    </div>
  );
}

/** The rows that are drawn, and of each the pots that are. */
function drawn(all: readonly Slat[], part: Part, here: { slat: number; column: number } | undefined): RowProps[] {
  return all.flatMap((slat, at) => {
    const inSight = at >= part.top && at < part.bottom;
    if (!inSight && at !== here?.slat) return [];
    const pots = slat.pots.filter(({ column }) => {
      return (inSight && column >= part.left && column < part.right) || (at === here?.slat && column === here.column);
    });
    return { slat, at, pots, part };
  });
}

/** Row names stay where they are while the bench moves past them sideways. */
export function Grid({ soilFor }: { soilFor: (trees: TreeView[], name: string) => void }) {
  const { walk } = useDesk();
  const bench = walk.bench.value;
  const trees = walk.trees.value;
  const partial = walk.partial.value !== undefined;
  // Where only those in sight are known, what lies beyond is not empty.
  const rows = useMemo(() => bench && slats(bench, trees, !partial), [bench, trees]);
  const { room, slats: inner, part } = useSight(rows, !partial && trees.length <= WHOLE);
  const arrows = useArrows(rows);
  const tree = walk.state.value?.tree ?? "";
  const lines = rows ? drawn(rows.all, part, rows.at(tree)) : [];
  const name = (slat: Slat) => (slat.row ? t("row {row}", { row: slat.row }) : t("trees without a place"));
  const of = (row: number) => walk.trees.value.filter((tree) => (tree.row ?? 0) === row);
  return (
    <div class="grid-room" ref={room} style={{ "--slats": rows?.all.length ?? 0, "--places": rows?.columns ?? 1 }}>
      <div class="row-names">
        {lines.map(({ slat, at }) => (
          <RowName key={at} row={slat.row} at={at} pick={() => void walk.whole(() => soilFor(of(slat.row), name(slat)))} />
        ))}
      </div>
      <div class="slats" ref={inner} onKeyDown={arrows}>
        {lines.map((line) => (
          <Row key={line.at} {...line} here={tree} />
        ))}
        {bench && !trees.length && <p class="empty">{t("No trees stand on this bench.")}</p>}
      </div>
    </div>
  );
}

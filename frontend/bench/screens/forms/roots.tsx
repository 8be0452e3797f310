// Root survey: tap around the circle where a surface root leaves the trunk, front towards you.

import { useState } from "preact/hooks";
import type { Bodies, Root } from "../../model/types";
import { degrees, largestGap, SECTORS, side, spot } from "../logic/circle";
import { many } from "../logic/words";
import type { FormProps } from "../more";
import { Choice, Panel } from "../parts";

type Defect = NonNullable<Bodies["root_survey"]["defects"]>[number];
const DEFECTS: [Defect, string][] = [
  ["crossing", "crossing"],
  ["one_sided", "one-sided"],
  ["high", "too high"],
  ["girdling", "girdling"],
  ["rot", "rot"],
];
const GRADES = ["1", "2", "3", "4", "5"].map((g) => ({ value: g, word: g }));
const LEVEL = [
  { value: "yes", word: "level" },
  { value: "no", word: "off level" },
];

interface CircleProps { roots: ReadonlyMap<number, Root>; picked: number | undefined; tap: (sector: number) => void }

function Circle({ roots, picked, tap }: CircleProps) {
  return (
    <div class="circle" role="group" aria-label="roots around the trunk, seen from above, front towards you">
      <svg viewBox="0 0 100 100" aria-hidden="true">
        {[...roots].map(([sector, root]) => {
          const to = spot(sector, 36);
          return <line key={sector} x1="50" y1="50" x2={to.x} y2={to.y} stroke-width={1 + root.grade} />;
        })}
        <circle cx="50" cy="50" r="9" />
      </svg>
      {Array.from({ length: SECTORS }, (_, sector) => {
        const root = roots.get(sector);
        const at = spot(sector, 41);
        return (
          <button
            key={sector}
            class="sector"
            data-sector={sector}
            aria-pressed={root !== undefined}
            aria-current={picked === sector ? "true" : undefined}
            aria-label={`${side(sector)}: ${root ? `root of grade ${root.grade}` : "no root"}`}
            style={{ left: `${at.x}%`, top: `${at.y}%` }}
            onClick={() => tap(sector)}
          >
            {root ? (
              <>
                {root.grade}
                <small>{root.level ? "" : "off"}</small>
              </>
            ) : (
              <span aria-hidden="true">&middot;</span>
            )}
          </button>
        );
      })}
      <span class="front" aria-hidden="true">
        front
      </span>
    </div>
  );
}

function useRoots() {
  const [roots, setRoots] = useState<ReadonlyMap<number, Root>>(new Map());
  const [picked, setPicked] = useState<number>();
  const put = (sector: number, root: Root | undefined) => {
    const map = new Map(roots);
    if (root) map.set(sector, root);
    else map.delete(sector);
    setRoots(map);
    setPicked(root ? sector : undefined);
  };
  /** First tap: a root. A tap on another: that one is changed below. A tap on the chosen one: it goes. */
  const tap = (sector: number) => {
    if (!roots.has(sector)) put(sector, { deg: degrees(sector), grade: 3, level: true });
    else if (picked === sector) put(sector, undefined);
    else setPicked(sector);
  };
  return { roots, picked, put, tap };
}

export function RootsForm({ tree, save, close }: FormProps) {
  const { roots, picked, put, tap } = useRoots();
  const [defects, setDefects] = useState<ReadonlySet<Defect>>(new Set());
  const root = picked === undefined ? undefined : roots.get(picked);
  const list = [...roots.values()].sort((a, b) => a.deg - b.deg);
  const body = { roots: list, ...(defects.size ? { defects: [...defects] } : {}) };
  const toggle = (defect: Defect) => {
    const set = new Set(defects);
    if (!set.delete(defect)) set.add(defect);
    setDefects(set);
  };
  return (
    <Panel
      name="roots"
      title={`Roots of ${tree.tag}`}
      close={close}
      go={
        <>
          <button class="btn" data-action="close" onClick={close}>
            Close
          </button>
          <button class="btn main" data-action="save" onClick={() => save({ kind: "root_survey", body })}>
            Save {many(list.length, "root")} <small>widest gap {Math.round(largestGap(list))}&deg;</small>
          </button>
        </>
      }
    >
      <Circle roots={roots} picked={picked} tap={tap} />
      {root && picked !== undefined ? (
        <div class="stack" data-root={picked}>
          <p>
            <b>Root at the {side(picked)}.</b> Grade it from 1, thin, to 5, thick. Tap it again to remove it.
          </p>
          <Choice
            name="grade"
            hook="grade"
            options={GRADES}
            value={String(root.grade)}
            pick={(g) => put(picked, { ...root, grade: Number(g) })}
          />
          <Choice
            name="level"
            hook="level"
            options={LEVEL}
            value={root.level ? "yes" : "no"}
            pick={(l) => put(picked, { ...root, level: l === "yes" })}
          />
        </div>
      ) : (
        <p class="soft">Seen from above, the front towards you. Tap where a root leaves the trunk.</p>
      )}
      <p class="gap">Defects, if any:</p>
      <div class="opts two" role="group" aria-label="defects">
        {DEFECTS.map(([value, word]) => (
          <button key={value} class="opt" data-defect={value} aria-pressed={defects.has(value)} onClick={() => toggle(value)}>
            {word}
          </button>
        ))}
      </div>
    </Panel>
  );
}

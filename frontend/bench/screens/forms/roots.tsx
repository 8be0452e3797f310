// Root survey: tap around the circle where a surface root leaves the trunk, front towards you.

import { useState } from "preact/hooks";
import type { Bodies, Root } from "../../model/types";
import { t, tn, word, type Text } from "../../words";
import { number } from "../../words/written";
import { degrees, largestGap, SECTORS, side, spot } from "../logic/circle";
import { Choice, FormPanel } from "../parts";
import type { FormProps } from "./props";

type Defect = NonNullable<Bodies["root_survey"]["defects"]>[number];
const DEFECTS: [Defect, Text][] = [
  ["crossing", word("crossing")],
  ["one_sided", word("one-sided")],
  ["high", word("too high")],
  ["girdling", word("girdling")],
  ["rot", word("rot")],
];
const GRADES = ["1", "2", "3", "4", "5"].map((g) => ({ value: g, word: g }));
const LEVEL = [
  { value: "yes", word: word("level") },
  { value: "no", word: word("off level") },
];

interface CircleProps { roots: ReadonlyMap<number, Root>; picked: number | undefined; tap: (sector: number) => void }

interface SectorProps { sector: number; root: Root | undefined; picked: boolean; tap: () => void }

function spoken(sector: number, root: Root | undefined): string {
  const at = { side: side(sector), grade: root?.grade ?? 0 };
  if (!root) return t("{side}: no root", at);
  return root.level ? t("{side}: root of grade {grade}", at) : t("{side}: root of grade {grade}, off level", at);
}

function Sector({ sector, root, picked, tap }: SectorProps) {
  const at = spot(sector, 41);
  return (
    <button
      class="sector"
      data-sector={sector}
      aria-pressed={root !== undefined}
      aria-current={picked ? "true" : undefined}
      aria-label={spoken(sector, root)}
      data-off={root && !root.level ? t("off|level") : undefined}
      style={{ left: `${at.x}%`, top: `${at.y}%` }}
      onClick={tap}
    >
      {root ? root.grade : <span aria-hidden="true">{"\u00b7"}</span>}
    </button>
  );
}

function Circle({ roots, picked, tap }: CircleProps) {
  return (
    <div class="circle" role="group" aria-label={t("roots around the trunk, seen from above, front towards you")}>
      <svg viewBox="0 0 100 100" aria-hidden="true">
        {[...roots].map(([sector, root]) => {
          const to = spot(sector, 36);
          return <line key={sector} x1="50" y1="50" x2={to.x} y2={to.y} stroke-width={1 + root.grade} />;
        })}
        <circle cx="50" cy="50" r="9" />
      </svg>
      {Array.from({ length: SECTORS }, (_, n) => (
        <Sector key={n} sector={n} root={roots.get(n)} picked={picked === n} tap={() => tap(n)} />
      ))}
      <span class="front" aria-hidden="true">
        {t("front")}
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

interface PickedProps { sector: number; root: Root; put: (sector: number, root: Root) => void }

function Picked({ sector, root, put }: PickedProps) {
  return (
    <div class="stack" data-root={sector}>
      <p>
        <b>{t("Root at the {side}.", { side: side(sector) })}</b>{" "}
        {t("Grade it from 1, thin, to 5, thick. Tap it again to remove it.")}
      </p>
      <Choice
        name="grade"
        spoken={t("grade")}
        hook="grade"
        options={GRADES}
        value={String(root.grade)}
        pick={(g) => put(sector, { ...root, grade: Number(g) })}
      />
      <Choice
        name="level"
        spoken={t("height")}
        hook="level"
        options={LEVEL.map(({ value, word: name }) => ({ value, word: t(name) }))}
        value={root.level ? "yes" : "no"}
        pick={(l) => put(sector, { ...root, level: l === "yes" })}
      />
    </div>
  );
}

function Defects({ chosen, toggle }: { chosen: ReadonlySet<Defect>; toggle: (defect: Defect) => void }) {
  return (
    <>
      <p class="gap">{t("Defects, if any:")}</p>
      <div class="opts two" role="group" aria-label={t("defects")}>
        {DEFECTS.map(([value, name]) => (
          <button
            key={value}
            class="opt"
            data-defect={value}
            aria-pressed={chosen.has(value)}
            onClick={() => toggle(value)}
          >
            {t(name)}
          </button>
        ))}
      </div>
    </>
  );
}

export function RootsForm({ tree, save, close }: FormProps) {
  const { roots, picked, put, tap } = useRoots();
  const [defects, setDefects] = useState<ReadonlySet<Defect>>(new Set());
  const root = picked === undefined ? undefined : roots.get(picked);
  const list = [...roots.values()].sort((a, b) => a.deg - b.deg);
  const marked = list.length > 0 || defects.size > 0;
  const body = { roots: list, ...(defects.size ? { defects: [...defects] } : {}) };
  const toggle = (defect: Defect) => {
    const set = new Set(defects);
    if (!set.delete(defect)) set.add(defect);
    setDefects(set);
  };
  return (
    <FormPanel
      name="roots"
      title={t("Roots of {tag}", { tag: tree.tag })}
      close={close}
      word={
        marked ? (
          <>
            {tn(list.length, "Save {n} root", "Save {n} roots")}{" "}
            <small>{t("widest gap {degrees}\u00b0", { degrees: number(largestGap(list), 0) })}</small>
          </>
        ) : (
          t("Mark a root or a defect")
        )
      }
      ready={marked}
      save={() => save({ kind: "root_survey", body })}
    >
      <Circle roots={roots} picked={picked} tap={tap} />
      {root && picked !== undefined ? (
        <Picked sector={picked} root={root} put={put} />
      ) : (
        <p class="soft">{t("Seen from above, the front towards you. Tap where a root leaves the trunk.")}</p>
      )}
      <Defects chosen={defects} toggle={toggle} />
    </FormPanel>
  );
}

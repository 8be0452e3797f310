// The tree under the thumb: who it is, what is due and why, and the few taps that answer it.

import { useComputed } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { mayRecord, useDesk } from "../app/desk";
import type { DueWhat, TreeView } from "../model/types";
import { label, speciesName } from "../model/words";
import { asksOf, openDues, optionsOf, reason, type Ask, type Answers } from "./logic/ask";
import { finePlan } from "./logic/rest";
import { locale, t, word, type Text } from "../words";
import { about, lastLooks } from "./logic/words";
import { Choice, forThumb, Tag } from "./parts";
import { OnWord } from "./plan";
import type { Form } from "./more";

const ROW_NAME = { wire: word("Wire"), soil: word("Soil"), buds: word("Buds") } as const;

interface AskProps extends Ask { id: string; open: (form: Form) => void }

/** Given by plain values: a tap draws anew only the row that it answers. */
function AskRow({ id, what, due, value, bulk, open }: AskProps) {
  const { walk } = useDesk();
  const harm = what === "wire" && (value === "biting" || value === "sunk_in");
  return (
    <div class="ask">
      <span class="name">
        {t(ROW_NAME[what])}
        {due && <small class="due-word">{t("due")}</small>}
      </span>
      <Choice
        name={what}
        spoken={t(ROW_NAME[what])}
        hook="check"
        options={optionsOf(what)}
        value={value}
        under={bulk ? t("with the rest") : t("saved")}
        pick={(value) => void walk.check(id, what, value)}
      />
      {harm && (
        <div class="more-line">
          <button class="btn stop wide" data-action="wire-off" onClick={() => open("wire-off")}>
            {t("Taking it off now?")} <small>{t("Cut it, never unwind it. Record it here.")}</small>
          </button>
        </div>
      )}
    </div>
  );
}

const DO: Partial<Record<DueWhat, { form: Form; text: Text }>> = {
  caliper: { form: "caliper", text: word("Measure the trunk") },
  roots: { form: "roots", text: word("Survey the roots") },
  firm: { form: "firm", text: word("Feel whether it is firm") },
  branches: { form: "branches", text: word("Count the branches") },
};

function DueForms({ tree, answers, open }: { tree: TreeView; answers: Answers; open: (form: Form) => void }) {
  const todo = openDues(tree, answers).map((d) => DO[d.what]).filter((d) => d !== undefined);
  if (!todo.length) return null;
  return (
    <div class={todo.length > 1 ? "pair due-forms" : "due-forms"}>
      {todo.map((d) => (
        <button key={d.form} class="btn wide" data-action={d.form} data-due-form={d.form} onClick={() => open(d.form)}>
          {t(d.text)}
        </button>
      ))}
    </div>
  );
}

/** What "Fine" would record of it, or why it would record nothing. */
function fineWord(tree: TreeView, answers: Answers): { fine: boolean; under: string } {
  const plan = finePlan(tree, answers);
  const fine = [plan.wire && label("snug"), plan.soil && label("moist")].filter(Boolean).join(", ");
  return { fine: fine !== "", under: fine || (openDues(tree, answers).length ? t("look first") : t("answered")) };
}

function Buttons({ fine, under, open, end }: SheetProps & ReturnType<typeof fineWord>) {
  const { walk } = useDesk();
  const next = walk.next.value;
  const onward = () => (walk.next.value ? walk.select(walk.next.value.id) : end());
  const some = useComputed(() => walk.records.value.some((r) => r.record.tree && !r.withdrawn)).value;
  const keys = [
    <button key="undo" class="btn" data-action="undo" disabled={!some} onClick={() => void walk.undo()}>
      {t("Undo")}
    </button>,
    <button key="more" class="btn" data-action="more" onClick={() => open("more")}>
      {t("More")}
    </button>,
    <button key="fine" class="btn" data-action="fine" disabled={!fine} onClick={() => void walk.fine()}>
      {t("Fine")} <small>{under}</small>
    </button>,
    <button
      key="next"
      class="btn main"
      data-action="next"
      data-next={next?.tag ?? ""}
      onClick={() => (next ? walk.select(next.id) : void walk.whole(onward))}
    >
      <OnWord next={next} />
    </button>,
  ];
  return <div class="go">{forThumb(keys)}</div>;
}

function NoTree({ some }: { some: boolean }) {
  return (
    <section class="sheet" aria-label={t("tree")}>
      <div class="about">
        <p class="why none">{some ? t("Tap a tree to see what it asks for.") : ""}</p>
      </div>
    </section>
  );
}

export interface SheetProps { open: (form: Form) => void; end: () => void }

function Who({ tree, open }: { tree: TreeView; open: (form: Form) => void }) {
  const desk = useDesk();
  const name = desk.species.value.get(tree.species)?.name;
  return (
    <div class="who">
      <Tag text={tree.tag} />
      <p>{about(tree, speciesName(tree.species, name))}</p>
      {mayRecord(desk) && (
        <button class="btn photo" data-action="photo" onClick={() => open("photo")}>
          {t("Photo")}
        </button>
      )}
    </div>
  );
}

export function Sheet({ open, end }: SheetProps) {
  const desk = useDesk();
  const { walk } = desk;
  const tree = walk.here.value;
  // They stay as they are while the tree is answered.
  const last = useMemo(() => tree && lastLooks(tree), [tree, locale()]);
  if (!tree) return <NoTree some={walk.trees.value.length > 0} />;
  const answers = walk.answers.value.get(tree.id) ?? {};
  const species = desk.species.value.get(tree.species);
  const why = reason(tree, answers);
  const said = walk.said.value;
  const text = said?.tree === tree.id ? said.text : "";
  return (
    <section class="sheet" aria-label={t("tree {tag}", { tag: tree.tag })} data-sheet data-at-once data-here={tree.tag}>
      <div class="about">
        <Who tree={tree} open={open} />
        <div class={why ? "why" : "why none"}>
          <p>{why || (Object.keys(answers).length ? t("All answered") : t("Nothing is due"))}</p>
          <span class="said" role="status" data-said={text}>
            {text && t(text)}
          </span>
        </div>
        {last && <p class="last">{t("Last looks: {looks}", { looks: last })}</p>}
        {mayRecord(desk) && <DueForms tree={tree} answers={answers} open={open} />}
        {mayRecord(desk) &&
          asksOf(tree, species, answers).map((ask) => <AskRow key={ask.what} id={tree.id} {...ask} open={open} />)}
        {!mayRecord(desk) && <p class="soft">{t("This phone may look, but not record.")}</p>}
      </div>
      {mayRecord(desk) && <Buttons {...fineWord(tree, answers)} open={open} end={end} />}
    </section>
  );
}

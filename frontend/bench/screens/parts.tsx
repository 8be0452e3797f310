// Parts that several screens share.

import { signal, useComputed } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { go, place } from "../app/nav";
import { useDesk, type Fault } from "../app/desk";
import { t } from "../words";
import { photos as counted } from "./logic/words";
import { settings } from "../app/settings";

/** The number of records to hand over: in sight on every screen, and the way to them. A tap draws only it anew. */
function Count() {
  const { waiting, setAside, photos: pictures } = useDesk().store;
  const aside = setAside.value.length;
  const photos = pictures.waiting.value;
  const some = useComputed(() => waiting.value + setAside.value.length + pictures.waiting.value > 0);
  return (
    <button
      class={some.value ? "count some" : "count"}
      data-waiting={waiting}
      data-action="records"
      onClick={() => place.value.screen !== "records" && go("records")}
    >
      <b>{waiting}</b>{" "}
      {photos > 0 && <span data-photos-waiting={photos}>+ {counted(photos)}</span>}
      <span class={photos ? "unseen" : undefined}>
        {photos > 0 && " "}
        {t("to hand over")}
      </span>
      {aside > 0 && <span class="unseen">, {t("{n} set aside", { n: aside })}</span>}
    </button>
  );
}

interface HeadProps { title: string; sub?: ComponentChildren; back?: (() => void) | undefined; backWord?: string }

export function Head({ title, sub, back, backWord = t("Back") }: HeadProps) {
  return (
    <header class="head">
      {back && (
        <button class="back" data-action="back" onClick={back}>
          {backWord}
        </button>
      )}
      <h1>
        {title}
        {sub && <small>{sub}</small>}
      </h1>
      <Count />
    </header>
  );
}

/** What a screen is about. It scrolls by keyboard too, where there is nothing but text in it. */
export function Main({ children }: { children?: ComponentChildren }) {
  return (
    <main class="page" tabIndex={0}>
      {children}
    </main>
  );
}

/** Keys, the one used most last: it lies on the side of the thumb, and is read where it lies. */
export function forThumb<T>(keys: T[]): T[] {
  return settings.value.hand === "left" ? [...keys].reverse() : keys;
}

interface PanelProps {
  name: string;
  title: string;
  close: () => void;
  children: ComponentChildren;
  go: ComponentChildren;
}

/** How many panels are open: what goes wrong is told in them, and not behind them too. */
const open = signal(0);

/** A panel over the lower part of the screen. The browser's own dialog keeps the focus inside. */
export function Panel({ title, close, children, go: buttons, name }: PanelProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const inside = useRef<HTMLDivElement>(null);
  const { fault } = useDesk();
  const seen = useRef<Fault | undefined>(undefined);
  useEffect(() => void (seen.current = fault.value), [fault.value]);
  useEffect(() => {
    dialog.current?.showModal();
    // Where there is nothing but text inside, a keyboard must be able to scroll it.
    const room = inside.current;
    if (room && !room.querySelector("button, input, select, textarea")) room.tabIndex = 0;
    open.value += 1;
    return () => {
      open.value -= 1;
      // What was told here goes with the panel; what comes as it closes was not seen yet.
      if (seen.current && fault.peek() === seen.current) fault.value = undefined;
      dialog.current?.close();
    };
  }, []);
  return (
    <dialog
      class="panel settle"
      ref={dialog}
      aria-label={title}
      data-panel={name}
      onCancel={(event) => {
        // A camera that is left without a picture is told of by the same event, and it rises to here.
        if (event.target !== event.currentTarget) return;
        event.preventDefault();
        close();
      }}
    >
      <h2>{title}</h2>
      <div class="inside" ref={inside}>{children}</div>
      <Told fault={fault.value} />
      <div class="go">{buttons}</div>
    </dialog>
  );
}

interface FormPanelProps {
  name: string;
  title: string;
  close: () => void;
  /** What the save button says; it is dead while `ready` is false. */
  word: ComponentChildren;
  ready?: boolean;
  save: () => void;
  /** The save button's hook. */
  hook?: string;
  children: ComponentChildren;
}

/** A panel with the two buttons that every form has. */
export function FormPanel({ name, title, close, word, ready = true, save, hook = "save", children }: FormPanelProps) {
  const buttons = [
    <button key="close" class="btn" data-action="close" onClick={close}>
      {t("Close")}
    </button>,
    <button key="save" class="btn main" data-action={hook} disabled={!ready} onClick={save}>
      {word}
    </button>,
  ];
  return (
    <Panel name={name} title={title} close={close} go={forThumb(buttons)}>
      {children}
    </Panel>
  );
}

export interface Option { value: string; word: string }
interface ChoiceProps {
  name: string;
  /** What a screen reader calls it. */
  spoken: string;
  options: readonly Option[];
  value: string | undefined;
  pick: (value: string) => void;
  two?: boolean;
  /** The name of the data hook that tests and styles find it by. */
  hook?: string;
  under?: string;
}

/** One value out of a few, as a row of large buttons. */
export function Choice({ name, spoken, options, value, pick, two, hook = "choice", under }: ChoiceProps) {
  return (
    <div class={two ? "opts two" : "opts"} role="group" aria-label={spoken}>
      {options.map((o) => (
        <button
          key={o.value}
          type="button"
          class="opt"
          {...{ [`data-${hook}`]: name === hook ? "" : name.toLowerCase() }}
          data-value={o.value}
          aria-pressed={o.value === value}
          onClick={() => pick(o.value)}
        >
          {o.word}
          {under && <small>{o.value === value ? under : ""}</small>}
        </button>
      ))}
    </div>
  );
}

/** What went wrong and what to do; in an open panel, which hides all else, or at the foot of the screen. */
function Told({ fault }: { fault: Fault | undefined }) {
  const desk = useDesk();
  return (
    <div role="alert">
      {fault && (
        <div class="fault" data-fault>
          <p>
            <b>{fault.message}</b> {fault.mend}
          </p>
          <button class="btn" onClick={() => (desk.fault.value = undefined)}>
            {t("Got it")}
          </button>
        </div>
      )}
    </div>
  );
}

export function FaultBar() {
  const { fault } = useDesk();
  return (
    <div class="alerts">
      <Told fault={open.value ? undefined : fault.value} />
    </div>
  );
}

/** The picture that was taken. Some cameras give each the same name, which is no change, and not heard, unless cleared. */
export function taken(input: HTMLInputElement): File | undefined {
  const file = input.files?.[0];
  input.value = "";
  return file;
}

export function Tag({ text }: { text: string }) {
  return <span class="tag">{text}</span>;
}

// The first screen: this phone and the shed get to know each other.

import { useState } from "preact/hooks";
import { refresh, useDesk, type Fault } from "../app/desk";
import { askToKeep } from "../app/install";
import { go, place } from "../app/nav";
import { t } from "../words";
import { Install } from "./install";
import { Head, Main } from "./parts";

/** Letters and digits only, in two groups of four, as the shed shows it. */
export function tidyCode(text: string): string {
  const bare = text.toUpperCase().replace(/[^0-9A-Z]/g, "").slice(0, 8);
  return bare.length > 4 ? `${bare.slice(0, 4)}-${bare.slice(4)}` : bare;
}

interface InputProps {
  id: string;
  label: string;
  hint: string;
  value: string;
  set: (value: string) => void;
  /** Big letters, as for a code. */
  big?: boolean;
}

function Input({ id, label, value, set, big, hint }: InputProps) {
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        class={big ? "big" : undefined}
        data-field={id}
        autocomplete={big ? "one-time-code" : "off"}
        autocapitalize={big ? "characters" : "sentences"}
        spellcheck={false}
        maxLength={60}
        placeholder={hint}
        value={value}
        onInput={(event) => set(event.currentTarget.value)}
      />
    </div>
  );
}

function PairForm() {
  const desk = useDesk();
  const [code, setCode] = useState(() => tidyCode(place.value.id));
  const [name, setName] = useState(desk.me.value?.name ?? "");
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState<Fault>();
  const send = async (event: Event) => {
    event.preventDefault();
    setBusy(true);
    const outcome = await desk.sync.pair(code, name.trim());
    setBusy(false);
    if (!outcome.ok) return setFault(outcome);
    await askToKeep(() => desk.store.persist());
    await refresh(desk);
    // The code is used up: nothing of it stays in the address.
    go("benches", "", "", true);
  };
  return (
    <form onSubmit={(event) => void send(event)}>
      <Input id="code" label={t("Code")} big hint="XXXX-XXXX" value={code} set={(text) => setCode(tidyCode(text))} />
      <Input id="name" label={t("Name of this phone")} hint={t("pocket phone")} value={name} set={setName} />
      <div role="alert">
        {fault && (
          <div class="word-box stop" data-fault>
            <b>{fault.message}</b>
            {fault.mend}
          </div>
        )}
      </div>
      <p class="gap">
        <button class="btn main wide" data-action="pair" disabled={busy || code.length < 9}>
          {busy ? t("Asking the shed") : t("Pair this phone")}
        </button>
      </p>
    </form>
  );
}

export function PairScreen() {
  const again = useDesk().me.value;
  const scanned = place.value.id !== "";
  return (
    <div class="house" data-screen="pair">
      <Head title="Misho" sub={again ? t("Pair this phone again") : t("Walk the benches")} />
      <Main>
        {!again && <Install />}
        <p class="lead">
          {scanned
            ? t("The code is read. Give this phone a name, and pair it.")
            : t("Type the code that the shed shows under Phones. It is good once, for ten minutes.")}
        </p>
        <PairForm />
        {again && (
          <button class="btn wide gap" data-action="back" onClick={() => go("benches")}>
            {t("Later: go on recording")}
          </button>
        )}
      </Main>
    </div>
  );
}

// The scan screen: hold the phone over a tag; its tree opens. Loaded when it is first asked for.

import "../style/scan.css";
import { useRef, useState } from "preact/hooks";
import { faultOf, useDesk } from "../app/desk";
import { buzz } from "../app/senses";
import type { TreeView } from "../model/types";
import { Panel, taken } from "../screens/parts";
import { t, word } from "../words";
import { useCamera, type CameraState, type Frame } from "./camera";
import { meant, outcomeOf, type Outcome } from "./outcome";
import { readStill } from "./still";

export interface ScanProps {
  /** To the tag keyboard. */
  typed: () => void;
  pick: (tree: TreeView) => void;
}

const NO_CODE = word("No code can be read in this picture. Go nearer, hold still, keep off your own shadow.");
const NO_PICTURE = word("This file is no picture that the phone can open. Take another, or type the tag.");

/** Takes what was seen, one code at a time; the same code again says nothing new. */
function useSeen(pick: (tree: TreeView) => void) {
  const desk = useDesk();
  const [outcome, setOutcome] = useState<Outcome>();
  const last = useRef("");
  const seen = (frame: Frame) => {
    const code = meant(frame.codes, frame.width, frame.height);
    if (!code || code.text === last.current) return;
    last.current = code.text;
    outcomeOf(code.text, desk.store).then(
      (found) => {
        buzz(found.what === "tree" ? "found" : "failed");
        if (found.what === "tree") pick(found.tree);
        else setOutcome(found);
      },
      (error: unknown) => (desk.fault.value = faultOf(error)),
    );
  };
  const say = (message: string) => {
    last.current = "";
    setOutcome({ what: "none", message });
  };
  return { outcome, seen, say };
}

function Said({ state, outcome }: { state: CameraState; outcome: Outcome | undefined }) {
  const wait = state.is === "refused" ? state.why : state.is === "opening" ? t("Opening the camera.") : t("Hold a tag's code before the camera.");
  return (
    <p class="scan-said" role="status" data-scan={outcome?.what ?? state.is}>
      {outcome && outcome.what !== "tree" ? outcome.message : wait}
    </p>
  );
}

function Still({ seen, say }: { seen: (frame: Frame) => void; say: (message: string) => void }) {
  const [busy, setBusy] = useState(false);
  const take = async (file: File | undefined) => {
    if (!file) return;
    setBusy(true);
    await readStill(file).then((frame) => (frame ? seen(frame) : say(t(NO_CODE))), () => say(t(NO_PICTURE)));
    setBusy(false);
  };
  return (
    <label class="btn wide scan-still">
      {busy ? t("Reading the picture") : t("Take a picture of the tag")}
      <input
        type="file"
        accept="image/*"
        capture="environment"
        data-field="still"
        onChange={(event) => void take(taken(event.currentTarget))}
      />
    </label>
  );
}

export function Scan({ typed, pick }: ScanProps) {
  const { outcome, seen, say } = useSeen(pick);
  const { video, state } = useCamera(seen);
  const ask = outcome?.what === "ask" ? outcome.tree : undefined;
  return (
    <Panel
      name="scan"
      title={t("Scan a tag")}
      close={typed}
      go={
        <button class={ask ? "btn" : "btn main"} data-action="type" autofocus onClick={typed}>
          {t("Type the tag")}
        </button>
      }
    >
      <div class={state.is === "live" ? "scan-view" : "scan-view dark"}>
        <video ref={video} muted playsInline aria-label={t("What the camera sees")} />
      </div>
      <Said state={state} outcome={outcome} />
      {ask ? (
        <button class="btn main wide" data-action="open-asked" onClick={() => pick(ask)}>
          {t("Open {tag}", { tag: ask.tag })}
        </button>
      ) : (
        <Still seen={seen} say={say} />
      )}
    </Panel>
  );
}

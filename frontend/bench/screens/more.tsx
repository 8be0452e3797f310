// Everything else that can be recorded of a tree, as a plain list; and which form is open.

import type { TreeView } from "../model/types";
import { t, word, type Text } from "../words";
import { wireOn } from "./logic/ask";
import { Panel } from "./parts";
import { BranchesForm } from "./forms/branches";
import { CaliperForm } from "./forms/caliper";
import { FirmForm } from "./forms/firm";
import { LeftForm } from "./forms/left";
import { NoteForm } from "./forms/note";
import { PhotoForm } from "./forms/photo";
import type { Body, FormProps } from "./forms/props";
import { RootsForm } from "./forms/roots";
import { WireOffForm, WireOnForm } from "./forms/wire";
import { WorkForm } from "./forms/work";

export type Form =
  | "more" | "photo" | "caliper" | "note" | "wire-on" | "wire-off" | "firm" | "work" | "roots" | "branches" | "left";

export type { Body };

const FORMS = {
  caliper: CaliperForm,
  note: NoteForm,
  photo: PhotoForm,
  "wire-on": WireOnForm,
  "wire-off": WireOffForm,
  firm: FirmForm,
  work: WorkForm,
  roots: RootsForm,
  branches: BranchesForm,
  left: LeftForm,
} as const;

function choices(tree: TreeView): [Form, Text][] {
  const young = tree.phase === "sown" || tree.phase === "seedling" || tree.phase === "roots";
  const grown = tree.phase === "branches" || tree.phase === "refinement";
  const all: [Form, Text | false][] = [
    ["photo", word("Take a photo")],
    ["note", word("Write a note")],
    ["caliper", word("Measure the trunk")],
    ["wire-on", word("Wire put on")],
    ["wire-off", wireOn(tree) && word("Wire taken off")],
    ["work", word("Work done")],
    ["firm", young && word("Firm in its pot?")],
    ["roots", word("Root survey")],
    ["branches", grown && word("Count the branches")],
    ["left", word("It left the nursery")],
  ];
  return all.filter((c): c is [Form, Text] => c[1] !== false);
}

interface MoreProps extends FormProps { form: Form; open: (form: Form) => void; page?: (() => void) | undefined }

export function More({ form, open, page, ...props }: MoreProps) {
  if (form !== "more") {
    const Chosen = FORMS[form];
    return <Chosen {...props} />;
  }
  return (
    <Panel
      name="more"
      title={props.tree.tag}
      close={props.close}
      go={
        <>
          <button class="btn" data-action="close" onClick={props.close}>
            {t("Close")}
          </button>
          {page && (
            <button class="btn main" data-action="tree" onClick={page}>
              {t("Page of this tree")}
            </button>
          )}
        </>
      }
    >
      <div class="pair">
        {choices(props.tree).map(([name, text]) => (
          <button key={name} class="btn" data-action={name} onClick={() => open(name)}>
            {t(text)}
          </button>
        ))}
      </div>
    </Panel>
  );
}

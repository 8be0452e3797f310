// Find a tree by its tag: typed in part, or scanned.

import { useEffect, useState } from "preact/hooks";
import { faultOf, useDesk } from "../app/desk";
import type { TreeView } from "../model/types";
import type { ScanProps } from "../scan/scan";
import { speciesName } from "../model/words";
import { t } from "../words";
import { typedFault } from "./logic/typed";
import { about } from "./logic/words";
import { Panel, Tag } from "./parts";

/** More lines than this push the field off the screen. */
const MOST = 12;

interface Found { text: string; trees: TreeView[] }

/** The trees found last, and for which text: while a letter is typed, that is still the one before. */
function useFound(text: string): Found {
  const desk = useDesk();
  const [found, setFound] = useState<Found>({ text: "", trees: [] });
  useEffect(() => {
    let on = true;
    const part = text.trim();
    if (!part) return setFound({ text, trees: [] });
    desk.store.findByTag(part).then(
      (trees) => on && setFound({ text, trees: trees.slice(0, MOST) }),
      (error: unknown) => (desk.fault.value = faultOf(error)),
    );
    return () => {
      on = false;
    };
  }, [text]);
  return found;
}

function Line({ tree, pick }: { tree: TreeView; pick: () => void }) {
  const told = useDesk().species.value.get(tree.species)?.name;
  return (
    <li>
      <button class="found-line" data-found={tree.tag} onClick={pick}>
        <Tag text={tree.tag} />
        <span>{about(tree, speciesName(tree.species, told))}</span>
      </button>
    </li>
  );
}

/** The scan screen, loaded when it is first asked for: its decoder is larger than the walk. */
function useScan() {
  const desk = useDesk();
  const [Scan, setScan] = useState<(props: ScanProps) => preact.JSX.Element>();
  const open = () =>
    import("../scan/scan").then(
      (loaded) => setScan(() => loaded.Scan),
      () => (desk.fault.value = { message: t("The scanner is not on this phone."), mend: t("Type the tag.") }),
    );
  return { Scan, open, shut: () => setScan(undefined) };
}

export function Jump({ close, pick }: { close: () => void; pick: (tree: TreeView) => void }) {
  const [text, setText] = useState("");
  const found = useFound(text);
  const chosen = (tree: TreeView) => {
    close();
    pick(tree);
  };
  const { Scan, open, shut } = useScan();
  if (Scan) return <Scan typed={shut} pick={chosen} />;
  const buttons = (
    <>
      <button class="btn" data-action="close" onClick={close}>
        {t("Close")}
      </button>
      <button class="btn main" data-action="scan" onClick={() => void open()}>
        {t("Scan the tag")}
      </button>
    </>
  );
  return (
    <Panel name="jump" title={t("Find a tag")} close={close} go={buttons}>
      <ul class="found" aria-live="polite">
        {found.trees.map((tree) => (
          <Line key={tree.id} tree={tree} pick={() => chosen(tree)} />
        ))}
      </ul>
      <div class="field">
        <label for="jump">{t("Tag, or its first letters and digits")}</label>
        <input
          id="jump"
          class="big"
          data-field="jump"
          autocapitalize="characters"
          autocomplete="off"
          spellcheck={false}
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
        />
      </div>
      <p class="soft gap" role="status">
        {text.trim() && found.text === text && !found.trees.length && typedFault(text)}
      </p>
    </Panel>
  );
}

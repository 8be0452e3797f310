// Find a tree by typing part of its tag.

import { useEffect, useState } from "preact/hooks";
import { faultOf, useDesk } from "../app/desk";
import type { TreeView } from "../model/types";
import { about } from "./logic/words";
import { Panel, Tag } from "./parts";

/** More lines than this push the field off the screen. */
const MOST = 12;

function useFound(text: string): TreeView[] {
  const desk = useDesk();
  const [found, setFound] = useState<TreeView[]>([]);
  useEffect(() => {
    let on = true;
    const part = text.trim();
    if (!part) return setFound([]);
    desk.store.findByTag(part).then(
      (trees) => on && setFound(trees.slice(0, MOST)),
      (error: unknown) => (desk.fault.value = faultOf(error)),
    );
    return () => {
      on = false;
    };
  }, [text]);
  return found;
}

function Line({ tree, pick }: { tree: TreeView; pick: () => void }) {
  const species = useDesk().species.value.get(tree.species)?.name ?? tree.species;
  return (
    <li>
      <button class="found-line" data-found={tree.tag} onClick={pick}>
        <Tag text={tree.tag} />
        <span>{about(tree, species)}</span>
      </button>
    </li>
  );
}

export function Jump({ close, pick }: { close: () => void; pick: (tree: TreeView) => void }) {
  const [text, setText] = useState("");
  const found = useFound(text);
  const chosen = (tree: TreeView) => {
    close();
    pick(tree);
  };
  const shut = (
    <button class="btn" data-action="close" onClick={close}>
      Close
    </button>
  );
  return (
    <Panel name="jump" title="Find a tag" close={close} go={shut}>
      <ul class="found" aria-live="polite">
        {found.map((tree) => (
          <Line key={tree.id} tree={tree} pick={() => chosen(tree)} />
        ))}
      </ul>
      <div class="field">
        <label for="jump">Tag, or its first letters and digits</label>
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
      {text.trim() && !found.length && <p class="soft">No tag begins like that on this phone.</p>}
    </Panel>
  );
}

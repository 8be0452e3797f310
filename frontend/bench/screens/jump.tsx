// Find a tree by typing part of its tag.

import { useEffect, useState } from "preact/hooks";
import { faultOf, useDesk } from "../app/desk";
import type { TreeView } from "../model/types";
import { about } from "./logic/words";
import { Panel, Tag } from "./parts";

export function Jump({ close, pick }: { close: () => void; pick: (tree: TreeView) => void }) {
  const desk = useDesk();
  const [text, setText] = useState("");
  const [found, setFound] = useState<TreeView[]>([]);
  useEffect(() => {
    let on = true;
    const part = text.trim();
    if (!part) return setFound([]);
    desk.store.findByTag(part).then(
      (trees) => on && setFound(trees.slice(0, 12)),
      (error: unknown) => (desk.fault.value = faultOf(error)),
    );
    return () => {
      on = false;
    };
  }, [text]);
  return (
    <Panel
      name="jump"
      title="Find a tag"
      close={close}
      go={
        <button class="btn" data-action="close" onClick={close}>
          Close
        </button>
      }
    >
      <ul class="found" aria-live="polite">
        {found.map((tree) => (
          <li key={tree.id}>
            <button
              class="found-line"
              data-found={tree.tag}
              onClick={() => {
                close();
                pick(tree);
              }}
            >
              <Tag text={tree.tag} />
              <span>{about(tree, desk.species.value.get(tree.species)?.name ?? tree.species)}</span>
            </button>
          </li>
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

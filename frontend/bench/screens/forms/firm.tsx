// Does a young tree stand firm in its pot?

import type { FormProps } from "../more";
import { Panel } from "../parts";

export function FirmForm({ tree, save, close }: FormProps) {
  return (
    <Panel
      name="firm"
      title={`Is ${tree.tag} firm in its pot?`}
      close={close}
      go={
        <button class="btn" data-action="close" onClick={close}>
          Close
        </button>
      }
    >
      <p class="soft">Take the stem low down and move it gently: does the pot move with it?</p>
      <div class="pair gap">
        <button class="btn" data-value="loose" onClick={() => save({ kind: "firm_check", body: { firm: false } })}>
          Loose <small>it rocks in the mix</small>
        </button>
        <button class="btn" data-value="firm" onClick={() => save({ kind: "firm_check", body: { firm: true } })}>
          Firm <small>the pot moves with it</small>
        </button>
      </div>
    </Panel>
  );
}

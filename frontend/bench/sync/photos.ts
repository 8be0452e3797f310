// Pictures go after the records, piece by piece: a lost connection costs one piece. Each is let go only when the shed
// says that it has the whole of it, with this hash and size.

import type { MishoStore, StoredPhoto } from "../store";
import { t } from "../words";
import { Fault, type Wire } from "./wire";

/** Longest piece, and the shortest that a narrow way is tried with. [bytes] */
export const PIECE = 256 * 1024;
export const LEAST_PIECE = 16 * 1024;
/** Answers in a row without a byte more: then it is left for the next round. */
const PATIENCE = 3;

interface Tally { sent: number; refused: number }

/** Gives how many the shed has taken. `done` counts parts of pictures too. */
export async function sendPhotos(
  store: MishoStore, wire: Wire, progress: (done: number, total: number) => void,
): Promise<number> {
  const tally: Tally = { sent: 0, refused: 0 };
  const total = store.photos.waiting.value;
  let after = -Infinity;
  for (;;) {
    const photo = await store.photos.next(after);
    if (!photo) return tally.sent;
    after = photo.seq;
    const before = tally.sent + tally.refused;
    await send(store, wire, photo, tally, (share) => progress(before + share, Math.max(total, before + 1)));
  }
}

async function send(
  store: MishoStore, wire: Wire, photo: StoredPhoto, tally: Tally, progress: (share: number) => void,
): Promise<void> {
  const data = await store.photos.data(photo.id);
  if (!data) {
    tally.refused += 1;
    return store.photos.refuse(photo.id, t("This picture is no longer on the phone."), t("Take it again."));
  }
  let [at, size, still] = [0, PIECE, 0];
  for (;;) {
    progress(at / photo.bytes);
    const piece = data.slice(at, at + size);
    try {
      const answer = await wire.photo(photo, at, piece);
      if (answer.state === "kept") {
        tally.sent += 1;
        return await store.photos.kept(photo.id, Date.parse(answer.server_time), answer.epoch);
      }
      if (answer.state === "refused") {
        tally.refused += 1;
        return await store.photos.refuse(photo.id, answer.message, answer.mend);
      }
      still = answer.have > at ? 0 : still + 1;
      if (still > PATIENCE) throw new Fault("no_word", t("The shed does not get on with a picture."), t("The app tries again."));
      at = answer.have;
    } catch (error) {
      if (!(error instanceof Fault)) throw error;
      if (error.status === 413 && size > LEAST_PIECE) {
        size = Math.max(LEAST_PIECE, Math.floor(size / 2));
      } else if (error.status === 400 || error.status === 409) {
        tally.refused += 1;
        return store.photos.refuse(photo.id, error.message, error.mend);
      } else throw error;
    }
  }
}

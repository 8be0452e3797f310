// Pictures that this phone holds, and what became of each.

import { faultOf, useDesk, useLive } from "../app/desk";
import type { StoredPhoto } from "../store";
import { useShown } from "./forms/photo";
import { photos as counted } from "./logic/words";
import { t, tnx, word } from "../words";
import { clock, shortDay } from "../words/written";

const STATE = { waiting: word("to hand over"), kept: word("at the shed"), refused: word("not taken") } as const;

function Shot({ photo }: { photo: StoredPhoto }) {
  const desk = useDesk();
  const data = useLive(({ store }) => store.photos.data(photo.id), [photo.id]);
  const shown = useShown(data);
  const drop = () =>
    desk.store.photos.drop(photo.id).catch((error: unknown) => void (desk.fault.value = faultOf(error)));
  const when = `${shortDay(photo.takenAt)}, ${clock(photo.takenAt)}`;
  return (
    <li class="picture" data-photo={photo.id} data-state={photo.state}>
      {shown && <img src={shown} alt={t("Taken {when}", { when })} width={photo.width} height={photo.height} />}
      <p>
        <span class="when">{when}</span>{" "}
        <span class={photo.state === "refused" ? "stop-word" : "soft"}>{t(STATE[photo.state])}</span>
        {photo.state === "refused" && (
          <span>
            : {photo.message} {photo.mend}
          </span>
        )}
      </p>
      {photo.state === "refused" && (
        <button class="btn" data-action="drop-photo" onClick={() => void drop()}>
          {t("Delete it here")}
        </button>
      )}
    </li>
  );
}

function Shots({ title, photos }: { title: string; photos: readonly StoredPhoto[] }) {
  return (
    <section class="part">
      <h2>{title}</h2>
      <ul class="pictures">
        {photos.map((photo) => (
          <Shot key={photo.id} photo={photo} />
        ))}
      </ul>
    </section>
  );
}

/** This phone's pictures of one tree. */
export function PicturesOf({ tree }: { tree: string }) {
  const photos = useLive(({ store }) => store.photos.of(tree), [tree]);
  return photos?.length ? <Shots title={t("Photos on this phone")} photos={photos} /> : null;
}

/** What waits of pictures, and what the shed would not take. */
export function PicturesToSend() {
  const { waiting, refused } = useDesk().store.photos;
  return (
    <>
      {waiting.value > 0 && (
        <p class="gap" data-photos={waiting.value}>
          {tnx(
            waiting.value,
            "{photos} to hand over; it follows the records.",
            "{photos} to hand over; they follow the records.",
            { photos: <b>{counted(waiting.value)}</b> },
          )}
        </p>
      )}
      {refused.value.length > 0 && <Shots title={t("Photos not taken by the shed: {n}", { n: refused.value.length })} photos={refused.value} />}
    </>
  );
}

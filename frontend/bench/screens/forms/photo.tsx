// A picture of the tree: the phone's own camera takes it, so that no live stream has to be allowed.

import { useEffect, useRef, useState } from "preact/hooks";
import { faultOf, useDesk } from "../../app/desk";
import { NoPicture, pictureOf, type Picture } from "../../app/picture";
import type { TagInPicture } from "../../app/tagInPicture";
import type { Taps, Unread } from "../../model/photoScale";
import { uuidv7 } from "../../model/uuid";
import type { Room } from "../../store";
import { t, tn, word, type Text } from "../../words";
import { LEAST, MOST } from "../logic/caliper";
import { length } from "../logic/units";
import { FormPanel, taken } from "../parts";
import type { FormProps } from "./props";
import "../../style/photos.css";

const CAPTION = 200;

/** The address of bytes, as long as they are shown. */
export function useShown(data: ArrayBuffer | undefined): string | undefined {
  const [url, setUrl] = useState<string>();
  useEffect(() => {
    if (!data) return setUrl(undefined);
    const made = URL.createObjectURL(new Blob([data], { type: "image/jpeg" }));
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [data]);
  return url;
}

function useRoom(): Room | undefined {
  const { store } = useDesk();
  const [room, setRoom] = useState<Room>();
  useEffect(() => void store.photos.room().then(setRoom, () => undefined), []);
  return room;
}

function RoomWord({ room }: { room: Room | undefined }) {
  if (!room || room.state === "enough") return null;
  const full = room.state === "full";
  return (
    <p class="word-box due" data-room={room.state}>
      <b>
        {full
          ? t("No room for pictures on this phone.")
          : tn(room.photos ?? 0, "Room for about {n} more picture.", "Room for about {n} more pictures.")}
      </b>{" "}
      {full
        ? t("Hand over near the shed, or delete other photos or apps. Looks and notes are still saved.")
        : t("Hand over near the shed: what it has makes room here.")}
    </p>
  );
}

function useCamera() {
  const desk = useDesk();
  const [picture, setPicture] = useState<Picture>();
  const [busy, setBusy] = useState(false);
  const take = async (file: File | undefined) => {
    if (!file) return;
    setBusy(true);
    try {
      setPicture(await pictureOf(file));
      desk.fault.value = undefined;
    } catch (error) {
      desk.fault.value = error instanceof NoPicture ? error : faultOf(error);
    } finally {
      setBusy(false);
    }
  };
  return { picture, busy, take };
}

type Measuring = typeof import("../measure");

/** The printed tag in the picture, looked for once it is taken; all that measuring needs is loaded only then. */
function useTag(picture: Picture | undefined) {
  const [found, setFound] = useState<TagInPicture | Unread>();
  const [way, setWay] = useState<Measuring>();
  const [taps, setTaps] = useState<Taps>();
  useEffect(() => {
    let on = true;
    setFound(undefined);
    setTaps(undefined);
    if (!picture) return;
    // No measuring where the decoder cannot be loaded: the photo itself needs none of this.
    void Promise.all([import("../../app/tagInPicture"), import("../measure")])
      .then(async ([{ tagIn }, measure]) => [await tagIn(picture.data), measure] as const)
      .then(([tag, measure]) => on && (setFound(tag), setWay(measure)), () => undefined);
    return () => {
      on = false;
    };
  }, [picture]);
  const tag = typeof found === "object" ? found : undefined;
  const told = tag && taps && way ? way.reading(tag, taps) : undefined;
  return { found, tag, way, taps, setTaps, told };
}

const UNREAD: Readonly<Record<Unread, Text>> = {
  no_code: word("No printed tag is seen in it. With one beside the trunk, the trunk could be measured."),
  come_nearer: word("The tag in it is too small to measure by: come nearer."),
  aslant: word("The tag in it is seen too much aslant to measure by: hold the phone flat before it."),
};

function TagWord({ found, tree }: { found: TagInPicture | Unread | undefined; tree: string }) {
  if (!found) return null;
  if (typeof found === "string") return <p class="soft" data-unread={found}>{t(UNREAD[found])}</p>;
  if (found.tag === tree) return null;
  return (
    <p class="word-box due">
      {t("The tag in it says {tag}. Its scale is good all the same; is this the right tree?", { tag: found.tag })}
    </p>
  );
}

export function PhotoForm({ tree, save, close }: FormProps) {
  const { picture, busy, take } = useCamera();
  const { found, tag, way, taps, setTaps, told } = useTag(picture);
  const [measuring, setMeasuring] = useState(false);
  const [caption, setCaption] = useState("");
  const room = useRoom();
  const input = useRef<HTMLInputElement>(null);
  const shown = useShown(picture?.data);
  const full = room?.state === "full";
  const keep = () => {
    if (!picture) return;
    const { data, sha256, width, height } = picture;
    const bare = caption.trim();
    const body = { photo: uuidv7(Date.now()), sha256, bytes: data.byteLength, width, height };
    const photo = { kind: "photo", body: bare ? { ...body, caption: bare } : body, file: data } as const;
    if (!told) return save(photo);
    const [mm, sd_mm] = [Number(told.mm.toFixed(1)), Number(told.sd_mm.toFixed(3))];
    save([photo, { kind: "caliper", body: { mm, method: "photo", photo: body.photo, sd_mm } }]);
  };
  return (
    <FormPanel
      name="photo"
      title={t("Photo of {tag}", { tag: tree.tag })}
      close={close}
      ready={picture !== undefined && !busy && !full && !(told && (told.mm < LEAST || told.mm > MOST))}
      word={
        !picture
          ? t("Take one first")
          : told
            ? t("Save it and {length}", { length: length(Number(told.mm.toFixed(1))) })
            : t("Save the photo")
      }
      save={keep}
    >
      <RoomWord room={room} />
      <input
        ref={input}
        class="unseen"
        type="file"
        accept="image/*"
        capture="environment"
        tabIndex={-1}
        aria-hidden="true"
        data-field="photo"
        onChange={(event) => void take(taken(event.currentTarget))}
      />
      {shown && measuring && tag && way ? (
        <way.Measure src={shown} tag={tag} taps={taps} changed={setTaps} />
      ) : (
        shown && <img class="shot" src={shown} alt={t("The photo just taken")} data-shot />
      )}
      <TagWord found={found} tree={tree.tag} />
      {tag && !measuring && (
        <button class="btn wide gap" data-action="measure" onClick={() => setMeasuring(true)}>
          {t("Measure the trunk in it")}
        </button>
      )}
      <button class={picture ? "btn wide gap" : "btn main wide"} disabled={full || busy} data-action="camera" onClick={() => input.current?.click()}>
        {busy ? t("Making it smaller") : picture ? t("Take another instead") : t("Open the camera")}
      </button>
      {picture && (
        <div class="field">
          <label for="caption">{t("What does it show? May stay empty.")}</label>
          <input id="caption" data-field="caption" maxLength={CAPTION} value={caption} onInput={(event) => setCaption(event.currentTarget.value)} />
        </div>
      )}
    </FormPanel>
  );
}

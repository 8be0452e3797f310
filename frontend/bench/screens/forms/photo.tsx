// A picture of the tree: the phone's own camera takes it, so that no live stream has to be allowed.

import { useEffect, useRef, useState } from "preact/hooks";
import { faultOf, useDesk } from "../../app/desk";
import { NoPicture, pictureOf, type Picture } from "../../app/picture";
import { uuidv7 } from "../../model/uuid";
import type { Room } from "../../store";
import { many } from "../logic/words";
import type { FormProps } from "../more";
import { FormPanel } from "../parts";
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
      <b>{full ? "No room for pictures on this phone." : `Room for about ${many(room.photos ?? 0, "more picture")}.`}</b>{" "}
      {full
        ? "Hand over near the shed, or delete other photos or apps. Looks and notes are still saved."
        : "Hand over near the shed: what it has makes room here."}
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

export function PhotoForm({ tree, save, close }: FormProps) {
  const { picture, busy, take } = useCamera();
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
    save({ kind: "photo", body: bare ? { ...body, caption: bare } : body, file: data });
  };
  return (
    <FormPanel
      name="photo"
      title={`Photo of ${tree.tag}`}
      close={close}
      ready={picture !== undefined && !busy && !full}
      word={picture ? "Save the photo" : "Take one first"}
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
        onChange={(event) => void take(event.currentTarget.files?.[0])}
      />
      {shown && <img class="shot" src={shown} alt="The photo just taken" data-shot />}
      <button class={picture ? "btn wide" : "btn main wide"} disabled={full || busy} data-action="camera" onClick={() => input.current?.click()}>
        {busy ? "Making it smaller" : picture ? "Take another instead" : "Open the camera"}
      </button>
      {picture && (
        <div class="field">
          <label for="caption">What does it show? May stay empty.</label>
          <input id="caption" data-field="caption" maxLength={CAPTION} value={caption} onInput={(event) => setCaption(event.currentTarget.value)} />
        </div>
      )}
    </FormPanel>
  );
}

// The camera's live picture: opened, read some times a second, let go as soon as it is not seen.

import { useEffect, useRef, useState } from "preact/hooks";
import type { RefObject } from "preact";
import { t } from "../words";
import { findAnyCodes, findCodes, type FoundCode } from "./decode";

/** Rest between two readings, so that the phone stays cool and answers taps. [ms] */
const REST_MS = 120;
/** Only each so many readings look for the kinds of code that are not ours. */
const ANY_EACH = 4;
/** No phone shows sharper detail of a tag at arm's length; larger pictures only take longer. [px] */
const LONG_SIDE = 1280;
/** Foreign codes are sought in a smaller picture: that search costs seven times as much. [px] */
const ANY_SIDE = 640;

/** Words for a camera that does not open. The typed way and the still picture are on the screen beside them. */
export function refusal(error: unknown): string {
  const name = error instanceof DOMException ? error.name : "";
  if (name === "NotAllowedError" || name === "SecurityError") {
    return t("The camera is refused. Allow it for this page in the browser's settings, or type the tag.");
  }
  if (name === "NotFoundError" || name === "OverconstrainedError") return t("This phone offers no camera. Type the tag.");
  if (name === "NotReadableError" || name === "AbortError") {
    return t("The camera is held by another app. Close that one and scan again, or type the tag.");
  }
  return t("The live camera does not open here. Take a picture instead, or type the tag.");
}

async function open(): Promise<MediaStream> {
  // Undefined where the page is not secure (plain http on a LAN).
  if (!navigator.mediaDevices) throw new DOMException("no camera on an unsafe page", "NotSupportedError");
  const video = { facingMode: { ideal: "environment" }, width: { ideal: 1280 }, height: { ideal: 720 } };
  return navigator.mediaDevices.getUserMedia({ video, audio: false });
}

export interface Frame { codes: FoundCode[]; width: number; height: number }

function frameOf(video: HTMLVideoElement, canvas: HTMLCanvasElement, side: number): ImageData | undefined {
  const scale = Math.min(1, side / Math.max(video.videoWidth, video.videoHeight, 1));
  canvas.width = Math.round(video.videoWidth * scale);
  canvas.height = Math.round(video.videoHeight * scale);
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  if (!pen || !canvas.width || !canvas.height) return undefined;
  pen.drawImage(video, 0, 0, canvas.width, canvas.height);
  return pen.getImageData(0, 0, canvas.width, canvas.height);
}

/** Read the video until `over`; `seen` gets every reading that found a code. */
async function watch(video: HTMLVideoElement, over: () => boolean, seen: (frame: Frame) => void): Promise<void> {
  const canvas = document.createElement("canvas");
  for (let reading = 1; !over(); reading++) {
    const any = reading % ANY_EACH === 0;
    const image = frameOf(video, canvas, any ? ANY_SIDE : LONG_SIDE);
    if (image) {
      const codes = await (any ? findAnyCodes : findCodes)(image);
      if (codes.length && !over()) seen({ codes, width: image.width, height: image.height });
    }
    await new Promise((rest) => setTimeout(rest, REST_MS));
  }
}

export type CameraState = { is: "opening" | "live" } | { is: "refused"; why: string };

/** The live picture in `video`, and what is found in it; the camera is let go with the screen, or when hidden. */
export function useCamera(seen: (frame: Frame) => void): { video: RefObject<HTMLVideoElement | null>; state: CameraState } {
  const video = useRef<HTMLVideoElement>(null);
  const latest = useRef(seen);
  latest.current = seen;
  const [state, setState] = useState<CameraState>({ is: "opening" });
  useEffect(() => {
    let turn = 0;
    let stream: MediaStream | undefined;
    const stop = () => {
      turn++;
      stream?.getTracks().forEach((track) => track.stop());
      stream = undefined;
    };
    const start = async () => {
      const mine = ++turn;
      try {
        const opened = await open();
        if (mine !== turn) return opened.getTracks().forEach((track) => track.stop());
        stream = opened;
        video.current!.srcObject = opened;
        await video.current!.play();
        setState({ is: "live" });
        await watch(video.current!, () => mine !== turn, (frame) => latest.current(frame));
      } catch (error) {
        if (mine === turn) setState({ is: "refused", why: refusal(error) });
      }
    };
    const turned = () => (document.hidden ? stop() : void start());
    document.addEventListener("visibilitychange", turned);
    void start();
    return () => {
      document.removeEventListener("visibilitychange", turned);
      stop();
    };
  }, []);
  return { video, state };
}

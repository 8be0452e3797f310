// Two taps on a trunk in a picture, with the printed tag as the scale.

import { useEffect, useRef, useState } from "preact/hooks";
import type { TagInPicture } from "../app/tagInPicture";
import type { Spot } from "../model/photoCorners";
import { readDiameter, type PhotoReading, type Taps } from "../model/photoScale";
import { settings } from "../app/settings";
import { t, word } from "../words";
import { number } from "../words/written";
import { length, round } from "./logic/units";

/** A finger that moves an edge already set moves it so much slower, to hit a point of the picture. */
const FINE = 0.2;
/** So near to an edge, a finger means it. [CSS px] */
const NEAR = 44;
/** The magnifier: points of the picture across it, and its size. */
const SEEN = 36;
const GLASS = 144;

export function reading(tag: TagInPicture, taps: Taps): PhotoReading {
  return readDiameter(tag.at, tag.edge, taps, Math.max(tag.width, tag.height), tag.cov);
}

/** What a trunk that is not in the tag's plane costs, in words. */
export function offPlane({ distance_mm }: PhotoReading): string {
  const step = round(settings.value.unit);
  const share = number((100 * step) / distance_mm, distance_mm > 250 ? 1 : 0);
  return t(
    "Hold the tag beside the trunk, as far from the phone: for each {length} that the trunk stands behind it, it reads {share}% too thin, before it too thick.",
    { length: length(step), share },
  );
}

function clamped([x, y]: Spot, { width, height }: TagInPicture): Spot {
  return [Math.min(Math.max(x, 0), width), Math.min(Math.max(y, 0), height)];
}

function Glass({ image, at }: { image: HTMLImageElement | null; at: Spot | undefined }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const pen = canvas.current?.getContext("2d");
    if (!pen || !image?.complete || !at) return;
    pen.imageSmoothingEnabled = false;
    pen.fillRect(0, 0, GLASS, GLASS);
    pen.drawImage(image, at[0] - SEEN / 2, at[1] - SEEN / 2, SEEN, SEEN, 0, 0, GLASS, GLASS);
    pen.strokeStyle = "#fff";
    pen.lineWidth = 3;
    for (const colour of ["#fff", "#000"]) {
      pen.strokeStyle = colour;
      pen.beginPath();
      pen.moveTo(GLASS / 2, 0);
      pen.lineTo(GLASS / 2, GLASS);
      pen.moveTo(0, GLASS / 2);
      pen.lineTo(GLASS, GLASS / 2);
      pen.stroke();
      pen.lineWidth = 1;
    }
  }, [image, at]);
  return <canvas class="glass" ref={canvas} width={GLASS} height={GLASS} aria-hidden="true" hidden={!at} />;
}

/** Whether a finger points here: it drags, where a mouse has arrow keys beside it. */
const coarse = () => matchMedia("(pointer: coarse)").matches;

const MOVES: Readonly<Record<string, Spot>> = {
  ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1],
};

function useTaps(tag: TagInPicture, changed: (taps: Taps | undefined) => void) {
  const [spots, setSpots] = useState<(Spot | undefined)[]>([undefined, undefined]);
  const [held, setHeld] = useState(0);
  const put = (which: number, to: Spot) => {
    const next = spots.map((spot, i) => (i === which ? clamped(to, tag) : spot));
    setSpots(next);
    changed(next[0] && next[1] ? [next[0], next[1]] : undefined);
  };
  return { spots, held, setHeld, put };
}

interface MeasureProps { src: string; tag: TagInPicture; taps: Taps | undefined; changed: (taps: Taps | undefined) => void }

/** The picture with its two edges; a first tap sets each, a drag moves it finely, arrow keys by a point. */
export function Measure({ src, tag, taps, changed }: MeasureProps) {
  const image = useRef<HTMLImageElement>(null);
  const grip = useRef<{ x: number; y: number; from: Spot; fine: number } | undefined>(undefined);
  const { spots, held, setHeld, put } = useTaps(tag, changed);
  const scale = () => tag.width / (image.current?.clientWidth || 1);

  const down = (event: PointerEvent) => {
    const box = image.current!.getBoundingClientRect();
    const at: Spot = [(event.clientX - box.left) * scale(), (event.clientY - box.top) * scale()];
    const near = spots.findIndex((spot) => spot && Math.hypot(spot[0] - at[0], spot[1] - at[1]) < NEAR * scale());
    const which = near >= 0 ? near : spots[0] ? 1 : 0;
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    setHeld(which);
    const from = near >= 0 ? spots[near]! : at;
    if (near < 0) put(which, at);
    grip.current = { x: event.clientX, y: event.clientY, from, fine: FINE * scale() };
  };
  const move = (event: PointerEvent) => {
    const hold = grip.current;
    if (hold) put(held, [hold.from[0] + (event.clientX - hold.x) * hold.fine, hold.from[1] + (event.clientY - hold.y) * hold.fine]);
  };
  const key = (event: KeyboardEvent, which: number) => {
    const step = MOVES[event.key];
    if (!step) return;
    event.preventDefault();
    setHeld(which);
    const [x, y] = spots[which] ?? [tag.width / 2, tag.height / 2];
    const far = event.shiftKey ? 20 : 1;
    put(which, [x + step[0] * far, y + step[1] * far]);
  };
  const told = taps && reading(tag, taps);
  return (
    <div class="measure-photo">
      <div class="plate" onPointerDown={down} onPointerMove={move} onPointerUp={() => (grip.current = undefined)} data-plate>
        <img ref={image} src={src} alt={t("The trunk beside its tag")} draggable={false} />
        <svg viewBox={`0 0 ${tag.width} ${tag.height}`} aria-hidden="true">
          <polygon points={tag.at.map((corner) => corner.join()).join(" ")} />
          {spots[0] && spots[1] && <line x1={spots[0][0]} y1={spots[0][1]} x2={spots[1][0]} y2={spots[1][1]} />}
          {spots.map((spot, i) => spot && <circle key={i} cx={spot[0]} cy={spot[1]} r={tag.width / 60} class={i === held ? "held" : ""} />)}
        </svg>
        <Glass image={image.current} at={spots[held]} />
      </div>
      <div class="opts">
        {[word("One edge"), word("Other edge")].map((name, i) => (
          <button key={name} type="button" class="opt" aria-pressed={i === held} data-edge={i} onClick={() => setHeld(i)} onKeyDown={(event) => key(event, i)}>
            {t(name)} <small>{spots[i] ? (coarse() ? t("set; drag it finely") : t("set; arrow keys move it")) : t("tap it in the picture")}</small>
          </button>
        ))}
      </div>
      <output class="reading" data-photo-reading={told?.mm.toFixed(2)} aria-live="polite">
        {told ? length(Number(told.mm.toFixed(1))) : t("Tap both edges of the trunk")}
      </output>
      {told && (
        <p class="soft">
          {t("95% sure: {low} to {high}, at the tag's plane.", {
            low: length(Number(told.low_mm.toFixed(1))),
            high: length(Number(told.high_mm.toFixed(1))),
          })}{" "}
          {offPlane(told)}
        </p>
      )}
    </div>
  );
}

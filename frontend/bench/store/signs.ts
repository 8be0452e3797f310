// What screens watch of the phone's memory: there from the start, before the memory itself is open.

import { signal, type Signal } from "@preact/signals";
import type { LocalRecord } from "../model/types";
import { Hearers } from "./hearers";
import type { StoredPhoto } from "./schema";

export interface PhotoSigns { waiting: Signal<number>; refused: Signal<StoredPhoto[]> }

export interface Signs {
  waiting: Signal<number>;
  setAside: Signal<LocalRecord[]>;
  version: Signal<number>;
  photos: PhotoSigns;
  hearers: Hearers;
}

export function newPhotoSigns(): PhotoSigns {
  return { waiting: signal(0), refused: signal([]) };
}

export function newSigns(): Signs {
  return { waiting: signal(0), setAside: signal([]), version: signal(0), photos: newPhotoSigns(), hearers: new Hearers() };
}

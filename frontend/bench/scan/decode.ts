/**
 * Find QR codes in a picture, by a decoder that is part of the app: no network, no service of the phone's maker.
 *
 * Load it late (`await import("../scan/decode")`): with its WebAssembly it is larger than the walk itself.
 *
 * `findCodes(image)` gives each code's text and its four corners in pixels of that image: whole numbers, within
 * about one pixel, of the outer edge of the printed squares without the quiet margin. Their order is the
 * code's own, as printed: top left, top right, bottom right, bottom left, however the picture is turned; so
 * corners[0] to corners[1] is the printed top edge.
 *
 * On our printed tags the text says how long that edge is: `readCode(text)?.edge_mm` of `model/codes.ts`
 * (`MISHO.220...` is 22.0 mm; 14, 22 or 30 mm by the tag's size). A code that is not ours has no known size.
 */

import { BarcodeDetector, prepareZXingModule } from "barcode-detector/ponyfill";
import wasm from "zxing-wasm/reader/zxing_reader.wasm?url";

export interface Point { x: number; y: number }
export interface FoundCode {
  text: string;
  corners: [topLeft: Point, topRight: Point, bottomRight: Point, bottomLeft: Point];
}
/** What a picture may be given as; a video gives its present frame. */
export type Picture = Blob | ImageBitmap | ImageData | HTMLCanvasElement | OffscreenCanvas | HTMLImageElement | HTMLVideoElement;

let detectors: { qr: BarcodeDetector; any: BarcodeDetector } | undefined;

function ready() {
  if (!detectors) {
    prepareZXingModule({
      // Without this the library would ask a public host for its WebAssembly.
      overrides: { locateFile: (path: string, folder: string) => (path.endsWith(".wasm") ? wasm : folder + path) },
    });
    detectors = {
      qr: new BarcodeDetector({ formats: ["qr_code"] }),
      any: new BarcodeDetector({ formats: ["qr_code", "data_matrix", "code_128", "code_39", "ean_13", "ean_8"] }),
    };
  }
  return detectors;
}

/** All QR codes in the picture, ours and foreign; an empty list where there is none that can be read. */
export async function findCodes(image: Picture): Promise<FoundCode[]> {
  const found = await ready().qr.detect(image);
  return found.map((code) => ({ text: code.rawValue, corners: code.cornerPoints }));
}

/** As findCodes, and also the kinds of code that stand on other nurseries' and shops' labels. Slower. */
export async function findAnyCodes(image: Picture): Promise<FoundCode[]> {
  const found = await ready().any.detect(image);
  return found.map((code) => ({ text: code.rawValue, corners: code.cornerPoints }));
}

import { describe, expect, it } from "vitest";
import { fitted } from "../../app/picture";
import { base64, fileName, handoverText, parted } from "./handoverFile";

const MB = 1024 * 1024;

describe("pictures in the hand-over file", () => {
  it("are written as text that reads back byte by byte", () => {
    const bytes = new Uint8Array(70_000).map((_, i) => (i * 7) % 256);
    expect(base64(bytes.buffer)).toBe(Buffer.from(bytes).toString("base64"));
    // RFC 4648, section 10.
    expect(base64(new TextEncoder().encode("foobar").buffer)).toBe("Zm9vYmFy");
  });

  it("stand behind the records, whose hash does not change by them", async () => {
    const one = { photo: "p", sha256: "h", bytes: 6, data: "Zm9vYmFy" };
    const text = await handoverText(undefined, [], [one]);
    expect(JSON.parse(text)).toMatchObject({ count: 0, records: [], photos: [one] });
    expect(text.indexOf('"records"')).toBeLessThan(text.indexOf('"photos"'));
    expect(JSON.parse(text).sha256).toBe(JSON.parse(await handoverText(undefined, [])).sha256);
  });

  it("are parted into files that the shed takes, each picture once and in order", () => {
    const photos = [5, 5, 5, 13, 1].map((mb, n) => ({ n, bytes: mb * MB }));
    expect(parted(photos).map((group) => group.map((photo) => photo.n))).toEqual([[0, 1], [2], [3], [4]]);
    expect(parted([])).toEqual([[]]);
  });

  it("has its number in the name where there are several", () => {
    expect(fileName("p", new Date("2026-06-01T10:00:00Z"), 2, 3)).toBe("misho-handover-p-2026-06-01-2-of-3.json");
  });
});

describe("a picture's size", () => {
  it.each([
    [4000, 3000, 2048, 1536],
    [3000, 4000, 1536, 2048],
    [800, 600, 800, 600],
    [20_000, 5, 2048, 1],
  ])("%i by %i becomes %i by %i", (width, height, w, h) => {
    expect(fitted(width, height)).toEqual({ width: w, height: h });
  });
});

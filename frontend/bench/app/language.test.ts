import { afterEach, expect, it, vi } from "vitest";

afterEach(() => {
  localStorage.clear();
  vi.doUnmock("../words/german");
  vi.resetModules();
});

/** The app as it starts on a phone that is set to these languages. */
async function started(languages: string[], failed: () => void = () => undefined) {
  vi.spyOn(navigator, "languages", "get").mockReturnValue(languages);
  const root = document.createElement("html");
  const { choose } = await import("./settings");
  const { followLanguage, notThere } = await import("./language");
  const { t } = await import("../words");
  await followLanguage(root, failed);
  return { root, choose, notThere, back: () => t("Back") };
}

it("is the phone's own, and the page says which", async () => {
  const { root, back } = await started(["fr-CH", "de-CH"]);
  expect([root.lang, back()]).toEqual(["de", "Zurück"]);
});

it("changes as soon as another is chosen, and is kept", async () => {
  const { root, choose, back } = await started(["en-US", "de"]);
  expect([root.lang, back()]).toEqual(["en", "Back"]);
  choose("language", "de");
  await vi.waitFor(() => expect([root.lang, back()]).toEqual(["de", "Zurück"]));
  vi.resetModules();
  expect((await started(["en-US"])).back()).toBe("Zurück");
});

it("stays what it was where the other one's texts cannot be loaded, and that is told", async () => {
  vi.doMock("../words/german", () => {
    throw new Error("no way to the shed");
  });
  const failed = vi.fn();
  const { root, choose, back, notThere } = await started(["en"], failed);
  expect(failed).not.toHaveBeenCalled();
  choose("language", "de");
  await vi.waitFor(() => expect(failed).toHaveBeenCalledOnce());
  expect([root.lang, back(), notThere().message]).toEqual([
    "en", "Back", "The texts of that language are not on this phone.",
  ]);
});

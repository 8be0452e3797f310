"""A thumb on the bench app in real Chromium, with a stop watch inside the page."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.browser import walking
from tests.browser.conftest import CHROMIUM, FLAGS, PHONE

#: When bench and keys were painted, on the page's own clock. It looks once a frame: an eye on each change of
#: the page would cost the opening that it times.
OPENED = """(() => {
    const watch = window.watch = {};
    watch.after = done => {
        const one = new MessageChannel();
        one.port1.onmessage = () => done(performance.now());
        one.port2.postMessage(0);
    };
    const usable = () => document.querySelector("[data-tree]") && document.querySelector("[data-check]");
    watch.opened = new Promise(done => {
        const look = () => usable() ? watch.after(done) : requestAnimationFrame(look);
        requestAnimationFrame(look);
    });
})()"""

#: The rest of the stop watch, put in once the app is open: the stamp of the last tap, and when what it asks
#: for was seen.
WATCH = """(() => {
    const painted = done => requestAnimationFrame(() => watch.after(done));
    Object.assign(watch, {tapped: 0, tasks: []});
    addEventListener("touchend", event => { watch.tapped = event.timeStamp; }, true);
    new PerformanceObserver(list => watch.tasks.push(...list.getEntries().map(one => one.duration)))
        .observe({type: "longtask", buffered: true});
    watch.until = (test, paint) => new Promise(done => {
        const look = () => {
            if (!test()) return false;
            const now = performance.now();
            if (paint) painted(done); else done(now);
            return true;
        };
        if (look()) return;
        const eye = new MutationObserver(() => look() && eye.disconnect());
        eye.observe(document, {subtree: true, childList: true, attributes: true});
    });
    // What the disk itself takes now: one small strict write, past the app.
    let bare;
    watch.bare = async () => {
        bare ??= await new Promise((done, failed) => {
            const open = indexedDB.open("bare", 1);
            open.onupgradeneeded = () => open.result.createObjectStore("one");
            open.onsuccess = () => done(open.result);
            open.onerror = failed;
        });
        const began = performance.now();
        const writing = bare.transaction("one", "readwrite", {durability: "strict"});
        writing.objectStore("one").put({text: "x".repeat(300)}, "one");
        await new Promise((done, failed) => { writing.oncomplete = done; writing.onabort = failed; });
        return performance.now() - began;
    };
    watch.middle = key => {
        const found = document.querySelector(key);
        if (!found) return null;
        const {x, y, width, height} = found.getBoundingClientRect();
        const at = {x: x + width / 2, y: y + height / 2};
        return found.contains(document.elementFromPoint(at.x, at.y)) ? at : null;
    };
    watch.sum = () => {
        const began = performance.now();
        let sum = 0;
        for (let n = 0; n < 3e7; n++) sum = (sum + n * n) % 1000003;
        return sum && performance.now() - began;
    };
})()"""


LOOK_MS = 500
#: So long does a quick finger lie on the glass (from memory, no source).
HELD_MS = 60
PRESSED = '[data-check="soil"][aria-pressed="true"]'
#: A crowded machine may take this long for one step before the run is given up.
PATIENCE_MS = 600_000


def soil(word: str) -> str:
    """The key of a soil word."""
    return walking.answer("soil", word)


class Phone:
    """A browser whose storage outlives it, with the bench app paired and its walk open."""

    def __init__(self, profile: Path, origin: str) -> None:
        self.profile, self.origin = profile, origin

    def pair(self, code: str) -> None:
        """Fetch all trees, and begin the walk along the first bench by one tap."""
        with self._browser(1.0) as page:
            walking.pair(page.page, self.origin, code)
            walking.worker_ready(page.page)
            page.page.locator("[data-sync=done]").first.wait_for()
            page.page.locator("[data-bench]").first.click()
            page.page.locator(soil("moist")).click()
            page.page.locator('[data-waiting="2"]').first.wait_for()

    def learn(self) -> None:
        """Visit once, until the app opens without its server."""
        with self._browser(1.0) as page:
            page.page.goto(f"{self.origin}/bench/")
            walking.worker_ready(page.page)

    @contextmanager
    def opened(self, rate: float, *, killed: bool = False) -> Iterator[Thumb]:
        """A newly started browser that takes the walk up where it was; `rate`: times slower.

        In the end the app is left, as by a phone's home key, or `killed`: it leaves nothing behind.
        """
        with self._browser(rate, killed=killed) as page:
            page.page.goto(f"{self.origin}/bench/", wait_until="commit")
            page.usable()
            yield page

    @contextmanager
    def _browser(self, rate: float, *, killed: bool = False) -> Iterator[Thumb]:
        from playwright.sync_api import expect, sync_playwright

        expect.set_options(timeout=PATIENCE_MS)
        with sync_playwright() as playwright:
            context = playwright.chromium.launch_persistent_context(
                str(self.profile),
                executable_path=CHROMIUM,
                args=FLAGS,
                viewport={"width": PHONE["width"], "height": PHONE["height"]},
                has_touch=True,
            )
            context.set_default_timeout(PATIENCE_MS)
            context.add_init_script(OPENED)
            page = context.new_page()
            cdp = context.new_cdp_session(page)
            cdp.send("Emulation.setCPUThrottlingRate", {"rate": rate})
            cdp.send("Performance.enable", {"timeDomain": "threadTicks"})
            thumb = Thumb(page, cdp)
            yield thumb
            if killed:
                thumb.mute()
            page.close()
            context.close()


class Thumb:
    """Taps, each timed by the page itself. All times in milliseconds.

    No locator of Playwright's is used: the first one puts listeners for every sort of touch into the page
    that no phone has, and the browser waits for them before it makes a click of a finger's touch.
    """

    def __init__(self, page: Any, cdp: Any) -> None:
        self.page, self.cdp = page, cdp
        self.opened_ms = 0.0

    def usable(self) -> None:
        """Wait until bench and keys were painted."""
        self.opened_ms = float(self._asked("watch.opened"))
        self._asked(WATCH)

    def mute(self) -> None:
        """The app leaves nothing behind at its end."""
        self._asked(f"void ({walking.MUTE})")

    def opening(self) -> float:
        """From the start of the navigation until the bench and its keys were painted."""
        return self.opened_ms

    def arithmetic(self) -> float:
        """What a fixed piece of work takes: tells a busy machine from a slow app."""
        return float(self._asked("watch.sum()"))

    def tap(self, number: int, *, held: bool) -> float:
        """A soil word other than the last one, on trees one after the other; until it is on the disk."""
        if number % 4 == 0:
            self._next()
        return self.answer(held=held)

    def answer(self, *, held: bool) -> float:
        """A soil word other than the one that is pressed; until it is on the disk."""
        now = self._asked(f"document.querySelector({json.dumps(PRESSED)})?.dataset.value ?? ''")
        word = next(w for w in ("moist", "dry", "wet") if w != now)
        key = soil(word)
        return self._timed(key, f"{key}[aria-pressed='true']", paint=False, held=held)

    def first(self) -> float:
        """From the start of the navigation until a tap made as soon as the keys were there is on the disk."""
        self.answer(held=True)
        return float(self._asked("watch.at"))

    def bare(self) -> float:
        """A small strict write past the app: how busy the disk is."""
        return float(self._asked("watch.bare()"))

    def busy(self) -> float:
        """Processor time of the page's main thread so far [ms]."""
        metrics = {m["name"]: m["value"] for m in self.cdp.send("Performance.getMetrics")["metrics"]}
        return float(metrics["TaskDuration"]) * 1000

    def walk(self, trees: int) -> list[float]:
        """Fine and Next along so many trees, a finding on each tenth; the time of each Next."""
        spent = []
        for number in range(trees):
            finding = "dry" if number % 20 else "wet"
            self._timed(soil("moist" if number % 10 else finding), PRESSED, paint=False)
            # As long as a quick eye takes for the tree: what the app does meanwhile belongs to the walk.
            self.page.wait_for_timeout(LOOK_MS)
            spent.append(self._next())
        return spent

    def _next(self) -> float:
        tag = self._asked("document.querySelector('[data-action=next]').dataset.next")
        assert tag, "there is no next tree"
        return self._timed("[data-action=next]", f'[data-sheet][data-here="{tag}"]', paint=True)

    def _timed(self, key: str, shown: str, *, paint: bool, held: bool = False) -> float:
        """Tap a key, and wait until the page shows what it asks for."""
        at = self._asked(f"watch.middle({json.dumps(key)})")
        assert at, f"{key} is not in sight"
        looked, painted = json.dumps(shown), json.dumps(paint)
        self._asked(f"void (watch.seen = watch.until(() => document.querySelector({looked}), {painted}))")
        self.cdp.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [at]})
        if held:
            self.page.wait_for_timeout(HELD_MS)
        self.cdp.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        return float(self._asked("watch.seen.then(at => (watch.at = at) - watch.tapped)"))

    def _asked(self, script: str) -> Any:
        """What a script of the page, or the promise that it gives, comes to."""
        asked = {"expression": script, "awaitPromise": True, "returnByValue": True}
        answer = self.cdp.send("Runtime.evaluate", asked)
        assert "exceptionDetails" not in answer, answer["exceptionDetails"]
        return answer["result"].get("value")

    def forget_tasks(self) -> None:
        self._asked("void (watch.tasks = [])")

    def longest_task(self) -> float:
        """The longest task since; tasks of 50 ms or less are not told apart by the browser: 0."""
        return float(self._asked("Math.max(0, ...watch.tasks)"))

    def heap(self) -> float:
        """JavaScript's heap after a collection [MB of 1024 * 1024 bytes]."""
        self.cdp.send("HeapProfiler.collectGarbage")
        metrics = {m["name"]: m["value"] for m in self.cdp.send("Performance.getMetrics")["metrics"]}
        return float(metrics["JSHeapUsedSize"]) / 2**20

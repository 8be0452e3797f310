"""How long pages block the main thread, by processor time: other work on the machine does not move it.

Lighthouse's total blocking time goes by the clock. This is the same sum over the same tasks, each slowed by
the factor that Lighthouse uses: what of a task goes beyond 50 ms.
"""

from __future__ import annotations

from typing import Any

SLOWED = 4.0
#: A task longer than this makes a tap wait that a thumb can feel [ms].
FELT_MS = 50.0
CATEGORIES = "disabled-by-default-devtools.timeline,devtools.timeline"


def blocked_ms(browser: Any, address: str) -> float:
    """Milliseconds, for the loading of a page whose files the browser may have already."""
    page = browser.new_page()
    session = browser.new_cdp_session(page)
    events: list[dict[str, Any]] = []
    over: list[bool] = []
    session.on("Tracing.dataCollected", lambda part: events.extend(part["value"]))
    session.on("Tracing.tracingComplete", lambda _: over.append(True))
    session.send("Tracing.start", {"categories": CATEGORIES, "transferMode": "ReportEvents"})
    page.goto(address)
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(1000)
    session.send("Tracing.end")
    while not over:
        page.wait_for_timeout(50)
    page.close()
    return _sum(events)


def _sum(events: list[dict[str, Any]]) -> float:
    """Over the tasks of the page's own main thread: that which laid the page out most often."""
    tasks = [e for e in events if e["name"] == "RunTask" and "tdur" in e]
    layouts = [(e["pid"], e["tid"]) for e in events if e["name"] in ("Layout", "UpdateLayoutTree")]
    main = max(set(layouts), key=layouts.count)
    slowed = [e["tdur"] / 1000 * SLOWED for e in tasks if (e["pid"], e["tid"]) == main]
    return sum(max(0.0, one - FELT_MS) for one in slowed)

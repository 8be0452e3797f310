"""All that a tree's page shows beside its standing and its records."""

from datetime import date
from typing import Any

from frontend import rose as rose_drawing
from frontend.wire_chart import wire_chart
from nursery.models import Phase, WireState
from nursery.reports.branched import branches
from nursery.reports.first_lines import checks, first_lines
from nursery.reports.rose import roses
from nursery.reports.settled import unsettled
from nursery.reports.tree import TreePage
from nursery.reports.upper import mark_upper
from nursery.reports.wiring import tales
from nursery.rollup.wire_window import wire_windows
from nursery.science.roots import SECTORS

#: Marks round the empty circle of the survey, every 30 degrees.
TICKS = [
    "M{} {}L{} {}".format(*rose_drawing.spot(at * 30.0, 144), *rose_drawing.spot(at * 30.0, 156))
    for at in range(12)
]


def tree_facts(tree: TreePage, today: date) -> dict[str, Any]:
    """For the template. Five queries, and twelve more while wire is on."""
    own = tree.practice
    wires, surveys = tales(tree.id), roses(tree.id, own)
    counted = branches(tree.id, tree.target_style, tree.habit, tree.target_height_mm, own)
    st = tree.standing
    on = not tree.left and st is not None and (st.wire_on_since or st.wire_look_by)
    windows = wire_windows(tree.id, today) if on else []
    return {
        "tales": wires,
        "windows": windows,
        "wire_chart": wire_chart(wires, windows, today),
        "wire_states": [(state.value, state.label) for state in WireState],
        "roses": surveys,
        "rose": rose_drawing.draw(surveys[0]) if surveys else None,
        "gap_limit": own.gap_limit,
        "sectors": SECTORS,
        "ticks": TICKS,
        "branches": counted if counted.surveys or tree.phase in (Phase.BRANCHES, Phase.REFINEMENT) else None,
        "first": first_lines(tree, st, surveys[0] if surveys else None, wires, today) if st else None,
        "checks": checks(mark_upper(tree.measures), wires),
        "unsettled": unsettled(),
    }

"""Settings of practice: what roots, trunk and branches shall be, and how well they are judged."""

from dataclasses import dataclass

from . import branches, growth, roots
from .practice_setting import In

_ROOTS, _TRUNK, _BRANCHES = In("roots"), In("trunk"), In("branches")
_STYLE = "Wanted in this style."


@dataclass(frozen=True)
class OfShape:
    """Roots, trunk, branches."""

    gap_limit: float = _ROOTS.number(
        roots.GAP_LIMIT,
        45.0,
        200.0,
        "degrees",
        "Largest gap between roots",
        "With a wider gap a tree has no roots on that side.",
    )
    sectors_needed: int = _ROOTS.whole(
        roots.SECTORS_NEEDED,
        2,
        6,
        "of 6",
        "Sides with a root",
        "The round is cut into six sides; so many must have a root.",
    )
    angle_error: float = _ROOTS.number(
        roots.ANGLE_ERROR,
        1.0,
        45.0,
        "degrees",
        "Error of a judged angle",
        "Spread (one standard deviation) of an angle judged by eye.",
    )
    level_needed: float = _ROOTS.share(
        roots.LEVEL_NEEDED,
        0.3,
        1.0,
        "Roots that must be level",
        "Share of the surface roots that must lie level.",
    )
    level_error: float = _ROOTS.share(
        roots.LEVEL_ERROR,
        0.005,
        0.4,
        "Roots misjudged as level or not",
        "Of a hundred roots so many are called level and are not, or the reverse.",
    )
    level_share: float = _ROOTS.share(
        roots.LEVEL_SHARE,
        0.3,
        0.99,
        "Level roots in the nursery",
        "Of a hundred surface roots so many are level.",
    )
    even: float = _ROOTS.number(
        roots.EVEN,
        1.0,
        10.0,
        "",
        "Roots keep apart",
        "1: as if thrown at random; the more, the more evenly roots are taken to stand.",
    )
    overlooked: float = _ROOTS.share(
        roots.OVERLOOKED, 0.0, 0.4, "Roots overlooked", "Of a hundred surface roots so many are not noted."
    )
    defect_seen: float = _ROOTS.share(
        roots.DEFECT_SEEN, 0.3, 0.999, "Defects that are there are noted by", "Sensitivity of a root survey."
    )
    defect_not_invented: float = _ROOTS.share(
        roots.DEFECT_NOT_INVENTED,
        0.5,
        0.999,
        "No defect, and none is noted by",
        "Specificity of a root survey.",
    )
    spread_ageing: float = _ROOTS.number(
        0.03,
        0.0,
        3.0,
        "a year",
        "Survey of gaps forgotten",
        "Rate at which what a survey said of gaps gets old.",
    )
    level_ageing: float = _ROOTS.number(
        0.03, 0.0, 3.0, "a year", "Survey of level roots forgotten", "The same for level roots."
    )
    defect_ageing: float = _ROOTS.number(
        0.06, 0.0, 3.0, "a year", "Survey of defects forgotten", "The same for defects."
    )

    height_over_base: float = _TRUNK.number(
        6.0,
        2.0,
        20.0,
        "to 1",
        "Height to base",
        "A tree for which only a height is aimed at needs a base of its height over this.",
    )
    taper_needed: float = _TRUNK.number(
        round(100 * growth.TAPER_NEEDED, 2),
        0.5,
        60.0,
        "mm each 100 mm",
        "Taper wanted",
        "So much thinner must a trunk get on each 100 mm up.",
    )

    primaries: int = _BRANCHES.whole(
        branches.PRIMARIES_NEEDED, 1, 30, "", "Primary branches", "Wanted on a tree of a usual style."
    )
    primaries_formal_upright: int = _BRANCHES.whole(
        branches.NEEDS["formal_upright"].primaries,
        1,
        30,
        "",
        "Primary branches, formal upright",
        _STYLE,
    )
    primaries_semi_cascade: int = _BRANCHES.whole(
        branches.NEEDS["semi_cascade"].primaries,
        1,
        30,
        "",
        "Primary branches, semi-cascade",
        _STYLE,
    )
    primaries_clump: int = _BRANCHES.whole(
        branches.NEEDS["clump"].primaries, 1, 30, "", "Primary branches, clump", _STYLE
    )
    primaries_literati: int = _BRANCHES.whole(
        branches.NEEDS["literati"].primaries, 1, 30, "", "Primary branches, literati", _STYLE
    )
    secondaries: int = _BRANCHES.whole(
        branches.SECONDARIES_EACH,
        1,
        10,
        "on each",
        "Secondary branches",
        "Wanted on each primary branch of a usual style.",
    )
    secondaries_broom: int = _BRANCHES.whole(
        branches.NEEDS["broom"].each, 1, 10, "on each", "Secondary branches, broom", _STYLE
    )
    secondaries_literati: int = _BRANCHES.whole(
        branches.NEEDS["literati"].each,
        1,
        10,
        "on each",
        "Secondary branches, literati",
        _STYLE,
    )
    order: int = _BRANCHES.whole(
        branches.ORDER_NEEDED,
        1,
        8,
        "",
        "Order of branching",
        "Wanted on a tree of a usual style, counted as by Strahler.",
    )
    order_broom: int = _BRANCHES.whole(
        branches.NEEDS["broom"].order, 1, 8, "", "Order of branching, broom", _STYLE
    )
    order_literati: int = _BRANCHES.whole(
        branches.NEEDS["literati"].order, 1, 8, "", "Order of branching, literati", _STYLE
    )
    count_error: float = _BRANCHES.number(
        branches.COUNT_ERROR,
        0.1,
        5.0,
        "branches",
        "Error of a count of branches",
        "Spread (one standard deviation).",
    )
    order_error: float = _BRANCHES.number(
        branches.ORDER_ERROR,
        0.1,
        3.0,
        "orders",
        "Error of an order of branching",
        "Spread (one standard deviation).",
    )
    internode_two_flush_pine: float = _BRANCHES.share(
        branches.INTERNODE_SHARE,
        0.005,
        0.2,
        "Longest internode, two-flush pine",
        "As a share of the height aimed at.",
    )
    internode_one_flush_pine: float = _BRANCHES.share(
        branches.INTERNODE_SHARE,
        0.005,
        0.2,
        "Longest internode, one-flush pine",
        "As a share of the height aimed at.",
    )
    internode_broadleaf: float = _BRANCHES.share(
        branches.INTERNODE_SHARE,
        0.005,
        0.2,
        "Longest internode, broadleaf",
        "As a share of the height aimed at.",
    )
    internode_juniper: float = _BRANCHES.share(
        branches.INTERNODE_SHARE,
        0.005,
        0.2,
        "Longest internode, juniper",
        "As a share of the height aimed at.",
    )
    internode_mm: float = _BRANCHES.number(
        branches.INTERNODE_MM,
        1.0,
        200.0,
        "mm",
        "Longest internode, no height aimed at",
        "For a tree without a target.",
    )
    internode_error: float = _BRANCHES.share(
        branches.INTERNODE_ERROR,
        0.02,
        1.0,
        "Error of a measured internode",
        "Spread (one standard deviation) as a share of it: internodes of one tree differ.",
    )

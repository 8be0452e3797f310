"""Settings of practice: what roots, trunk and branches shall be, and how well they are judged."""

from dataclasses import dataclass

from . import branches, growth, root_sides, roots
from .practice_setting import N_, In

_ROOTS, _TRUNK, _BRANCHES = In("roots"), In("trunk"), In("branches")
_STYLE = N_("Wanted in this style.")


@dataclass(frozen=True)
class OfShape:
    """Roots, trunk, branches."""

    gap_limit: float = _ROOTS.number(
        root_sides.GAP_LIMIT,
        45.0,
        200.0,
        N_("degrees"),
        N_("Largest gap between roots"),
        N_("With a wider gap a tree has no roots on that side."),
    )
    sectors_needed: int = _ROOTS.whole(
        root_sides.SECTORS_NEEDED,
        2,
        6,
        N_("of 6"),
        N_("Sides with a root"),
        N_("The round is cut into six sides; so many must have a root."),
    )
    angle_error: float = _ROOTS.number(
        root_sides.ANGLE_ERROR,
        1.0,
        45.0,
        N_("degrees"),
        N_("Error of a judged angle"),
        N_("Spread (one standard deviation) of an angle judged by eye."),
    )
    level_needed: float = _ROOTS.share(
        roots.LEVEL_NEEDED,
        0.3,
        1.0,
        N_("Roots that must be level"),
        N_("Share of the surface roots that must lie level."),
    )
    level_error: float = _ROOTS.share(
        roots.LEVEL_ERROR,
        0.005,
        0.4,
        N_("Roots misjudged as level or not"),
        N_("Of a hundred roots so many are called level and are not, or the reverse."),
    )
    level_share: float = _ROOTS.share(
        roots.LEVEL_SHARE,
        0.3,
        0.99,
        N_("Level roots in the nursery"),
        N_("Of a hundred surface roots so many are level."),
    )
    level_alike: float = _ROOTS.share(
        roots.LEVEL_ALIKE,
        0.0,
        0.9,
        N_("Roots of one tree alike"),
        N_("0: each root is level or not by itself; the more, the more one off level tells of the rest."),
    )
    even: float = _ROOTS.number(
        root_sides.EVEN,
        1.0,
        10.0,
        "",
        N_("Roots keep apart"),
        N_("1: as if thrown at random; the more, the more evenly roots are taken to stand."),
    )
    overlooked: float = _ROOTS.share(
        root_sides.OVERLOOKED,
        0.0,
        0.4,
        N_("Roots overlooked"),
        N_("Of a hundred surface roots so many are not noted."),
    )
    defect_seen: float = _ROOTS.share(
        roots.DEFECT_SEEN,
        0.3,
        0.999,
        N_("Defects that are there are noted by"),
        N_("Sensitivity of a root survey."),
    )
    defect_not_invented: float = _ROOTS.share(
        roots.DEFECT_NOT_INVENTED,
        0.5,
        0.999,
        N_("No defect, and none is noted by"),
        N_("Specificity of a root survey."),
    )
    root_work_forgets: float = _ROOTS.share(
        0.5,
        0.0,
        1.0,
        N_("Root work outdates a survey"),
        N_(
            "Work on the roots makes a survey before it count less by so much, "
            "and is as likely to have brought a root where one was missing."
        ),
    )
    spread_ageing: float = _ROOTS.number(
        0.03,
        0.0,
        3.0,
        N_("a year"),
        N_("Survey of gaps forgotten"),
        N_("Rate at which what a survey said of gaps gets old."),
    )
    level_ageing: float = _ROOTS.number(
        0.03, 0.0, 3.0, N_("a year"), N_("Survey of level roots forgotten"), N_("The same for level roots.")
    )
    defect_ageing: float = _ROOTS.number(
        0.06, 0.0, 3.0, N_("a year"), N_("Survey of defects forgotten"), N_("The same for defects.")
    )

    height_over_base: float = _TRUNK.number(
        6.0,
        2.0,
        20.0,
        N_("to 1"),
        N_("Height to base"),
        N_("A tree for which only a height is aimed at needs a base of its height over this."),
    )
    taper_needed: float = _TRUNK.number(
        round(100 * growth.TAPER_NEEDED, 2),
        0.5,
        60.0,
        N_("mm each 100 mm"),
        N_("Taper wanted"),
        N_("So much thinner must a trunk get on each 100 mm up."),
    )

    primaries: int = _BRANCHES.whole(
        branches.PRIMARIES_NEEDED, 1, 30, "", N_("Primary branches"), N_("Wanted on a tree of a usual style.")
    )
    primaries_formal_upright: int = _BRANCHES.whole(
        branches.NEEDS["formal_upright"].primaries,
        1,
        30,
        "",
        N_("Primary branches, formal upright"),
        _STYLE,
    )
    primaries_semi_cascade: int = _BRANCHES.whole(
        branches.NEEDS["semi_cascade"].primaries,
        1,
        30,
        "",
        N_("Primary branches, semi-cascade"),
        _STYLE,
    )
    primaries_clump: int = _BRANCHES.whole(
        branches.NEEDS["clump"].primaries, 1, 30, "", N_("Primary branches, clump"), _STYLE
    )
    primaries_literati: int = _BRANCHES.whole(
        branches.NEEDS["literati"].primaries, 1, 30, "", N_("Primary branches, literati"), _STYLE
    )
    secondaries: int = _BRANCHES.whole(
        branches.SECONDARIES_EACH,
        1,
        10,
        N_("on each"),
        N_("Secondary branches"),
        N_("Wanted on each primary branch of a usual style."),
    )
    secondaries_broom: int = _BRANCHES.whole(
        branches.NEEDS["broom"].each, 1, 10, N_("on each"), N_("Secondary branches, broom"), _STYLE
    )
    secondaries_literati: int = _BRANCHES.whole(
        branches.NEEDS["literati"].each,
        1,
        10,
        N_("on each"),
        N_("Secondary branches, literati"),
        _STYLE,
    )
    order: int = _BRANCHES.whole(
        branches.ORDER_NEEDED,
        1,
        8,
        "",
        N_("Order of branching"),
        N_("Wanted on a tree of a usual style, counted as by Strahler."),
    )
    order_broom: int = _BRANCHES.whole(
        branches.NEEDS["broom"].order, 1, 8, "", N_("Order of branching, broom"), _STYLE
    )
    order_literati: int = _BRANCHES.whole(
        branches.NEEDS["literati"].order, 1, 8, "", N_("Order of branching, literati"), _STYLE
    )
    count_error: float = _BRANCHES.number(
        branches.COUNT_ERROR,
        0.1,
        5.0,
        N_("branches"),
        N_("Error of a count of branches"),
        N_("Spread (one standard deviation)."),
    )
    order_error: float = _BRANCHES.number(
        branches.ORDER_ERROR,
        0.1,
        3.0,
        N_("orders"),
        N_("Error of an order of branching"),
        N_("Spread (one standard deviation)."),
    )
    internode_two_flush_pine: float = _BRANCHES.share(
        branches.INTERNODE_SHARE,
        0.005,
        0.2,
        N_("Longest internode, two-flush pine"),
        N_("As a share of the height aimed at."),
    )
    internode_one_flush_pine: float = _BRANCHES.share(
        branches.INTERNODE_SHARE,
        0.005,
        0.2,
        N_("Longest internode, one-flush pine"),
        N_("As a share of the height aimed at."),
    )
    internode_broadleaf: float = _BRANCHES.share(
        branches.INTERNODE_SHARE,
        0.005,
        0.2,
        N_("Longest internode, broadleaf"),
        N_("As a share of the height aimed at."),
    )
    internode_juniper: float = _BRANCHES.share(
        branches.INTERNODE_SHARE,
        0.005,
        0.2,
        N_("Longest internode, juniper"),
        N_("As a share of the height aimed at."),
    )
    internode_mm: float = _BRANCHES.number(
        branches.INTERNODE_MM,
        1.0,
        200.0,
        "mm",
        N_("Longest internode, no height aimed at"),
        N_("For a tree without a target."),
    )
    internode_error: float = _BRANCHES.share(
        branches.INTERNODE_ERROR,
        0.02,
        1.0,
        N_("Error of a measured internode"),
        N_("Spread (one standard deviation) as a share of it: internodes of one tree differ."),
    )

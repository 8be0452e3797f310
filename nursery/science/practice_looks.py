"""Settings of practice: what looks at wire, buds and young trees are worth."""

from dataclasses import dataclass

from . import buds, wire
from .practice_setting import N_, In

_WIRE, _BUDS, _YOUNG = In("wire"), In("buds"), In("young")


@dataclass(frozen=True)
class OfLooks:
    """Wire, low buds, young trees."""

    wire_risk: float = _WIRE.share(
        wire.RISK,
        0.0005,
        0.1,
        N_("Risk of a wire sinking in"),
        N_("Looked at while the chance that it has sunk in is not above this. Less risk, more looks."),
    )
    wire_cap_days: int = _WIRE.whole(
        wire.CAP_DAYS,
        14,
        400,
        N_("days"),
        N_("No wire unseen for more than"),
        N_("Whatever the forecast says, until enough wires of your own were seen to bite."),
    )
    wire_cap_marking_days: int = _WIRE.whole(
        wire.CAP_MARKING_DAYS,
        3,
        120,
        N_("days"),
        N_("A marking wire, looked at within"),
        N_("The same, once it marks."),
    )
    wire_cap_learned_days: int = _WIRE.whole(
        wire.CAP_LEARNED_DAYS,
        14,
        400,
        N_("days"),
        N_("No wire unseen, once learned, for more than"),
        N_("The same, when enough wires of your own were seen to bite."),
    )
    wire_ahead_days: int = _WIRE.whole(
        7,
        0,
        60,
        N_("days"),
        N_("Due before its last safe day by"),
        N_("A bench is not walked every day: a wire is due so many days early."),
    )
    wire_clean_none: float = _WIRE.share(
        0.95,
        0.01,
        0.99,
        N_("Done well, off without scars"),
        N_("The chance that the first wire is done without harm when no scar was seen."),
    )
    wire_clean_unnoted: float = _WIRE.share(
        0.85,
        0.01,
        0.99,
        N_("Done well, scars not noted"),
        N_("The same, when nobody wrote down whether there were scars."),
    )
    wire_clean_light: float = _WIRE.share(
        0.85, 0.01, 0.99, N_("Done well, light scars"), N_("The same, when light scars were seen.")
    )
    wire_clean_deep: float = _WIRE.share(
        0.1, 0.01, 0.99, N_("Done well, deep scars"), N_("The same, when deep scars were seen.")
    )

    buds_seen: float = _BUDS.share(
        buds.SEEN,
        0.5,
        0.999,
        N_("Buds that are there are seen by"),
        N_("Sensitivity of one look: the share of trees with live low buds on which a look finds some."),
    )
    buds_not_invented: float = _BUDS.share(
        buds.NOT_INVENTED,
        0.5,
        0.999,
        N_("No buds, and none are noted by"),
        N_("Specificity of one look: the share of trees without live low buds on which a look finds none."),
    )
    buds_bulk: float = _BUDS.share(
        buds.BULK_WEIGHT,
        0.05,
        1.0,
        N_("Weight of an answer given for many at once"),
        N_("How much of one look's weight an answer for a whole row keeps."),
    )

    season_ends_month: int = _YOUNG.whole(
        11,
        9,
        12,
        N_("month"),
        N_("First season over from the 1st of"),
        N_("The growing season of the year of sowing is over from then on (11 is November)."),
    )
    season_sure: float = _YOUNG.share(
        0.97,
        0.6,
        0.999,
        N_("Years of sowing written down right"),
        N_("Of a hundred years of sowing so many are right."),
    )
    seen_alive: float = _YOUNG.share(
        0.995,
        0.6,
        0.999,
        N_("Alive when looked at"),
        N_("The chance that a tree on which somebody looked at something lived on that day."),
    )
    deaths: float = _YOUNG.number(
        0.25,
        0.01,
        3.0,
        N_("a year"),
        N_("Deaths of young trees"),
        N_("Rate at which a young tree that nobody looks at is lost: 0.25 a year loses about one in five."),
    )
    firm_seen: float = _YOUNG.share(
        0.92, 0.5, 0.999, N_("Firm ones are called firm by"), N_("Sensitivity of rocking a tree in its pot.")
    )
    loose_seen: float = _YOUNG.share(
        0.9, 0.5, 0.999, N_("Loose ones are called loose by"), N_("Specificity of the same.")
    )
    firm_gain: float = _YOUNG.number(
        0.8,
        0.01,
        6.0,
        N_("a year"),
        N_("Pots fill with roots"),
        N_("Rate at which a loose tree comes to stand firm."),
    )
    firm_loss: float = _YOUNG.number(
        0.1,
        0.001,
        6.0,
        N_("a year"),
        N_("Trees work loose"),
        N_("Rate at which a firm tree comes to stand loose."),
    )

"""The looks of a walk's plan with the numbers in force."""

from dataclasses import replace

from nursery.science.looking import CHECKS, Check, Costs
from nursery.science.practice import Practice


def checks_of(practice: Practice) -> dict[str, Check]:
    """Each look with the grower's seconds, and with the errors that the filters reckon with."""
    errors = {
        "low_buds": (practice.buds_seen, practice.buds_not_invented),
        "firm": (practice.firm_seen, practice.loose_seen),
        # A survey's yes is "no defect": what is not invented is seen to be clean.
        "no_defect": (practice.defect_not_invented, practice.defect_seen),
    }
    return {
        name: replace(
            check,
            seconds=practice.value(f"look_{name}"),
            tells={criterion: errors.get(criterion, error) for criterion, error in check.tells.items()},
        )
        for name, check in CHECKS.items()
    }


def costs_of(practice: Practice) -> Costs:
    return Costs(
        place=practice.way_place,
        row=practice.way_row,
        bench=practice.way_bench,
        stop=practice.way_stop,
        least_gain=practice.least_gain,
    )

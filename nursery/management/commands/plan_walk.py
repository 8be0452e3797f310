"""Say what to look at on a walk of so many minutes."""

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from nursery.models import Bench
from nursery.plans import take_to_phones
from nursery.reports.walk_plan import LEAST_MINUTES, MOST_MINUTES, USUAL_MINUTES, Stop, WalkPlan, walk_plan


class Command(BaseCommand):
    help = "Say what to look at on a walk: must-sees first, then what tells most for its time."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--bench", default="", help="the bench's name; without it the whole nursery")
        parser.add_argument("--minutes", type=int, default=USUAL_MINUTES, help="time for the walk")
        parser.add_argument("--date", default="", help="the day of the walk, such as 2026-06-01")
        parser.add_argument("--to-phones", action="store_true", help="also publish the plan to the phones")

    def handle(self, *args: Any, **options: Any) -> None:
        minutes = options["minutes"]
        if not LEAST_MINUTES <= minutes <= MOST_MINUTES:
            raise CommandError(f"--minutes: give a whole number from {LEAST_MINUTES} to {MOST_MINUTES}.")
        plan = walk_plan(_day(options["date"]), minutes, _bench(options["bench"]))
        for line in told(plan):
            self.stdout.write(line)
        if options["to_phones"]:
            take_to_phones(plan)
            self.stdout.write("Phones take this plan with them when they next fetch.")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text) if text else timezone.localdate()
    except ValueError as error:
        raise CommandError(
            f"--date: {text!r} is no day. Write it as year-month-day, such as 2026-06-01."
        ) from error


def _bench(name: str) -> Any:
    if not name:
        return None
    found = list(Bench.objects.filter(name__iexact=name).values_list("id", flat=True)[:2])
    if len(found) == 1:
        return found[0]
    if found:
        raise CommandError(f"--bench: more than one bench is called {name!r}. Rename one of them.")
    known = ", ".join(Bench.objects.order_by("walk_order", "name").values_list("name", flat=True)[:20])
    raise CommandError(f"--bench: no bench is called {name!r}. There are: {known or 'none yet'}.")


def told(plan: WalkPlan) -> list[str]:
    """The plan as lines of text."""
    lines = [f"{plan.name}: {len(plan.stops)} stops in {plan.takes} of {plan.minutes} minutes."]
    if plan.left_must:
        lines.append(
            f"You need at least {plan.must_takes} minutes for the must-sees: {plan.left_must} are left out."
        )
    for name, stops in plan.benches:
        lines += ["", name, *(_line(stop) for stop in stops)]
    if plan.left:
        lines += ["", f"Left out: {plan.left_must} must-sees and {plan.left_worth} trees worth a look."]
        lines += [f"  {left.tag:<8} {left.why}" for left in plan.left]
    if plan.unfelt:
        lines += ["", f"{plan.unfelt} pots on no stop were not felt for a while."]
    return [*lines, *map(str, plan.care)]


def _line(stop: Stop) -> str:
    where = f"row {stop.row}, place {stop.place}"
    looks = "; ".join(f"{'MUST ' if look.must else ''}{look.do} ({look.why})" for look in stop.looks)
    return f"  {stop.tag:<8} {where:<18} {looks}"

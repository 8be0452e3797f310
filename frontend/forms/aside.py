"""Correcting one value of a record that was set aside."""

import math
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from frontend.forms.base import ShedForm, line
from nursery.journal.kinds import KINDS, check_body
from nursery.models import JournalRecord
from nursery.sentences import say

YES_NO = {"yes": True, "true": True, "no": False, "false": False}


class ValueForm(ShedForm):
    value = line(_("Right value"), 200)

    def __init__(self, *args: Any, record: JournalRecord, key: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.record = record
        self.key = key
        self.new_body: dict[str, Any] = {}

    def clean_value(self) -> str:
        """Take the reading of what was typed that the record's kind allows: a number, yes or no, or text."""
        typed = str(self.cleaned_data["value"]).strip()
        spec = KINDS.get(self.record.kind)
        old = self.record.corrected_body if self.record.corrected_body is not None else self.record.body
        if spec is None or not isinstance(old, dict):
            raise forms.ValidationError(gettext("This record cannot be corrected here. Discard it, or wait."))
        faults = []
        for value in readings(typed):
            body = {**old, self.key: value}
            fault = check_body(spec, body)
            if fault is None:
                self.new_body = body
                return typed
            faults.append(fault)
        fault = faults[0]
        field = fault.field.removeprefix("body.")
        raise forms.ValidationError(f"{field}: {say(fault.message)}. {say(fault.mend)}")


def readings(typed: str) -> list[Any]:
    """What a typed text can mean in a record, the likeliest first: a number, yes or no, the text itself."""
    found: list[Any] = []
    try:
        number = float(typed.replace(",", "."))
    except ValueError:
        pass
    else:
        if math.isfinite(number):
            found.append(int(number) if number.is_integer() else number)
    known = YES_NO | {gettext("yes"): True, gettext("no"): False}
    if typed.lower() in known:
        found.append(known[typed.lower()])
    return [*found, typed]

"""Settings of practice: all of them to read, each of them for the owner to change."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from frontend.doing import put, sentence
from frontend.kept_chart import kept_chart
from frontend.who import needs
from nursery import thickness
from nursery.errors import BadValue
from nursery.journal import compose
from nursery.people import Action
from nursery.reports import kept_word as report
from nursery.reports import practised
from nursery.rollup.beside import settle_beside
from nursery.rollup.wire_fit import learned_words
from nursery.science.practice import SETTINGS, Setting
from nursery.sentences import number as in_words
from nursery.sentences import say


@require_safe
@needs(Action.READ)
def practice_page(request: HttpRequest) -> HttpResponse:
    return _show(request)


def _show(request: HttpRequest, wrong: dict[str, str] | None = None, status: int = 200) -> HttpResponse:
    waiting, trees = practised.waiting()
    facts = {
        "groups": practised.groups(),
        "wrong": wrong or {},
        "waiting": waiting,
        "trees": trees,
        "learned": [learned_words(), thickness.learned_words()],
    }
    return render(request, "shed/practice.html", facts, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Action.SETTINGS)
def change(request: HttpRequest, name: str) -> HttpResponse:
    """Change one setting by a record, or take it back to the default."""
    setting = SETTINGS.get(name)
    if setting is None:
        raise Http404
    if request.method != "POST":
        return redirect("practice")
    text = request.POST.get("value", "").strip()
    value: Any = None if "back" in request.POST else number(setting, text)
    fault = _keep(setting, value)
    if fault:
        return _show(request, {"name": name, "text": text, "fault": fault}, status=400)
    settle_beside()
    if value is None:
        said = gettext("{setting}: back to the default. All standings are made anew, in pieces.")
    else:
        said = gettext("{setting}: now {value}. All standings are made anew, in pieces.")
    shown = "" if value is None else in_words(setting.shown(value))
    messages.success(request, said.format(setting=say(setting.label), value=shown))
    return redirect(reverse("practice") + f"#{name}")


def number(setting: Setting, text: str) -> float | int | str:
    """What was typed as it is kept; the text itself where it is no number, for the journal to refuse."""
    try:
        value = round(float(text.replace(",", ".").removesuffix("%")) / setting.scale, 9)
    except ValueError:
        return text or gettext("nothing")
    return int(value) if setting.whole and value == value // 1 else value


def _keep(setting: Setting, value: object) -> str:
    """Record it; why not, or ""."""
    wrong = setting.wrong(value)
    if wrong:
        # Before the journal says the same: what was mistyped need not be settled as a record set aside.
        return f"{sentence(say(wrong))} {say(setting.mend)}"
    try:
        refused = put([compose("practice_set", {"name": setting.name, "value": value})])
    except BadValue as bad:
        return f"{sentence(bad.message)} {bad.mend}"
    return "" if refused is None else f"{sentence(refused.message)} {refused.mend}"


@require_safe
@needs(Action.READ)
def kept_word(request: HttpRequest) -> HttpResponse:
    """Scores beside what was decided."""
    word = report.kept_word(timezone.localdate())
    return render(request, "shed/kept_word.html", {"word": word, "chart": kept_chart(word.deciles)})

"""Recording from a page: the same way in as a phone's."""

from collections.abc import Sequence
from typing import Any, NamedTuple
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest
from django.utils.functional import Promise
from django.utils.translation import gettext

from nursery.errors import BadValue
from nursery.journal import compose, take_in
from nursery.sentences import say


class SetAside(NamedTuple):
    """Why a record was set aside, in the reader's language."""

    field: str
    message: str
    mend: str


def put(raws: Sequence[dict[str, Any]]) -> SetAside | None:
    """Hand records in. The first that was not stored, or None when all were."""
    for result in take_in(list(raws)):
        if result.outcome == "set_aside":
            return SetAside(result.field, say(result.message), say(result.mend))
    return None


def record(
    request: HttpRequest, kind: str, body: dict[str, Any], *, tree: UUID | None, done: str | Promise
) -> bool:
    """Make one record, hand it in, and tell the person how it went."""
    try:
        refused = put([compose(kind, body, tree=tree)])
    except BadValue as bad:
        said = gettext("Not recorded: {why} {mend}")
        messages.error(request, said.format(why=sentence(bad.message), mend=bad.mend).strip())
        return False
    if refused is None:
        messages.success(request, str(done))
        return True
    said = gettext("Kept, but set aside: {why} {mend}")
    messages.error(request, said.format(why=sentence(refused.message), mend=refused.mend).strip())
    return False


def sentence(text: str) -> str:
    """A message of the journal as a sentence that can stand beside others."""
    return text if not text or text.endswith(".") else f"{text}."

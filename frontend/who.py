"""Who asks, and whether they may."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django.utils.cache import patch_cache_control
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from nursery.people import ALLOWED, Action, may, role_of

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]

#: What each action is called in a sentence that begins "Only the owner may".
ACTION_WORDS: dict[Action, Promise] = {
    Action.READ: _("look at this nursery's pages"),
    Action.RECORD: _("record things"),
    Action.SETTLE: _("settle what was set aside"),
    Action.IMPORT: _("bring lists of trees in"),
    Action.INVITE: _("let people in"),
    Action.PAIR_PHONE: _("pair or rename phones"),
    Action.REVOKE_PHONE: _("shut phones out"),
    Action.BACKUP: _("make backups"),
    Action.RESTORE: _("restore a backup"),
    Action.SETTINGS: _("change settings"),
}


class NotAllowed(PermissionDenied):
    """Somebody who is known here may not do this."""

    def __init__(self, action: Action) -> None:
        super().__init__(str(action))
        self.action = action

    @property
    def roles(self) -> list[str]:
        """The roles that may, the owner first."""
        return sorted((str(r) for r in ALLOWED[self.action]), key=["owner", "helper", "viewer"].index)


def role(request: HttpRequest) -> str:
    """The role of whoever asks, "" for a stranger; asked of the database once a request."""
    if "misho.role" not in request.META:
        user = getattr(request, "user", None)
        request.META["misho.role"] = role_of(user) if user is not None else ""
    return str(request.META["misho.role"])


def allows(request: HttpRequest, action: Action) -> bool:
    return may(role(request), action)


def needs(action: Action, *, post: Action | None = None) -> "Callable[[View[P]], View[P]]":
    """Let only those through who may ``action`` (and ``post``, for a request that changes things).

    A stranger is sent to sign in. What is answered is for this person only: no shared cache keeps it.
    """

    def wrap(view: "View[P]") -> "View[P]":
        @wraps(view)
        def guarded(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if not role(request):
                if request.user.is_authenticated:
                    raise NotAllowed(Action.READ)
                return redirect_to_login(request.get_full_path())
            wanted = post if post is not None and request.method == "POST" else action
            if not allows(request, wanted):
                raise NotAllowed(wanted)
            response = view(request, *args, **kwargs)
            patch_cache_control(response, private=True, no_cache=True)
            return response

        return guarded

    return wrap


def rights(request: HttpRequest) -> dict[str, Any]:
    """What templates ask: ``may.record`` and so on."""
    mine = role(request)
    return {str(action): may(mine, action) for action in Action}

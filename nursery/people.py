"""People and phones: who may do what, and how each of them gets in.

Secrets (entry links, phones' tokens, pairing codes) leave this module once, in the answer that makes them;
the database keeps their sha256 only.
"""

import hashlib
import secrets
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser, AnonymousUser, User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import OperationalError, transaction
from django.db.models import F
from django.utils import timezone

from nursery.errors import BadValue, MishoError, Refused
from nursery.models import Device, EntryLink, PairingCode, Person, Role, WrongTry
from nursery.sentences import said

LINK_LIFE = timedelta(hours=48)
CODE_LIFE = timedelta(minutes=10)
#: No 0 O 1 I L: a code is read from a screen and typed with dirty thumbs.
CODE_LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
CODE_LENGTH = 8
#: Guesses that an open code stands before it dies. The chance of hitting it is then 10 in 31**8.
CODE_TRIES = 10

#: Wrong tries that cost no wait, then 2, 4, 8 ... seconds up to the longest wait.
FREE_TRIES = 5
LONGEST_WAIT_S = 300
#: Tries older than this are forgotten.
TRY_MEMORY = timedelta(hours=1)
#: Wrong tries at one gate, by anybody, beyond which all wait: bounds the table, and guessing from many
#: addresses.
GATE_TRIES = 1000
GATE_WAIT_S = 60

#: A phone's "last seen" is written at most this often, so that an idle pull writes nothing.
SEEN_EVERY = timedelta(minutes=5)


class Action(StrEnum):
    """What can be allowed or refused."""

    READ = "read"
    RECORD = "record"
    SETTLE = "settle"
    IMPORT = "import"
    INVITE = "invite"
    PAIR_PHONE = "pair_phone"
    REVOKE_PHONE = "revoke_phone"
    BACKUP = "backup"
    RESTORE = "restore"
    SETTINGS = "settings"


#: The one table of rights. Letting people and phones in is the owner's alone: a helper who could pair a phone
#: could pair one as owner.
ALLOWED: dict[Action, frozenset[str]] = {
    Action.READ: frozenset({Role.OWNER, Role.HELPER, Role.VIEWER}),
    Action.RECORD: frozenset({Role.OWNER, Role.HELPER}),
    Action.SETTLE: frozenset({Role.OWNER, Role.HELPER}),
    Action.IMPORT: frozenset({Role.OWNER}),
    Action.INVITE: frozenset({Role.OWNER}),
    Action.PAIR_PHONE: frozenset({Role.OWNER}),
    Action.REVOKE_PHONE: frozenset({Role.OWNER}),
    Action.BACKUP: frozenset({Role.OWNER}),
    Action.RESTORE: frozenset({Role.OWNER}),
    Action.SETTINGS: frozenset({Role.OWNER}),
}


class SlowDown(MishoError):
    """Too many wrong tries. ``retry_after`` is the wait [s]."""

    code = "slow_down"

    def __init__(self, retry_after: int) -> None:
        super().__init__(
            said("Too many wrong tries."),
            mend=said("Wait {n} seconds, then try again with care.", n=retry_after),
        )
        self.retry_after = retry_after


def may(role: str, action: Action | str) -> bool:
    """Whether somebody with this role ("" for a stranger) may do this. An unknown action is a ValueError."""
    return role in ALLOWED[Action(action)]


def role_of(user: AbstractBaseUser | AnonymousUser) -> str:
    """The role of a signed-in user, or "" for a stranger and for a user without one."""
    if not user.is_authenticated or not user.is_active:
        return ""
    return Person.objects.filter(user_id=user.pk).values_list("role", flat=True).first() or ""


def owner_exists() -> bool:
    """Whether anybody can sign in as owner; if nobody can, the server prints an entry link."""
    return Person.objects.filter(role=Role.OWNER, user__is_active=True).exists()


# Entry links


def make_entry_link(role: str, *, now: datetime | None = None) -> str:
    """Make a one-time link for a new person and return its token. It lives 48 hours."""
    now = now or timezone.now()
    token = secrets.token_urlsafe(32)
    EntryLink.objects.create(
        token_hash=_sha256(token), role=_known_role(role), made_at=now, ends_at=now + LINK_LIFE
    )
    return token


def entry_link_open(token: str, *, now: datetime | None = None) -> EntryLink | None:
    """The link if it can still be used."""
    now = now or timezone.now()
    return EntryLink.objects.filter(token_hash=_sha256(token), used_at__isnull=True, ends_at__gt=now).first()


def use_entry_link(token: str, *, name: str, password: str, now: datetime | None = None) -> User:
    """Make the person that a link stands for. A refused name or password leaves the link open.

    Raises
    ------
    Refused : the link is unknown, used or too old.
    BadValue : ``name`` or ``password`` will not do.
    """
    now = now or timezone.now()
    users = get_user_model()
    name = _tidy_name(name, most=150)
    with transaction.atomic():
        link = entry_link_open(token, now=now)
        # The update, not the look, decides: of two at once only one changes the row.
        if link is None or not EntryLink.objects.filter(pk=link.pk, used_at__isnull=True).update(used_at=now):
            raise Refused(
                said("This entry link is used up or too old."),
                code="link_closed",
                mend=said(
                    "Ask the owner for a new one; without an owner, start the server again: it prints one."
                ),
            )
        if users.objects.filter(username__iexact=name).exists():
            told = said("Somebody is called {name} already.", name=name)
            raise BadValue(told, field="name", mend=said("Take another name."))
        user = users(username=name)
        _fit_password(password, user)
        user.set_password(password)
        user.save()
        Person.objects.create(user=user, role=link.role)
    return user


def change_password(user: User, *, old: str, new: str) -> None:
    """Give somebody a new password; BadValue when ``old`` is not theirs, or ``new`` will not do."""
    if not user.check_password(old):
        told = said("This is not your password until now.")
        raise BadValue(told, field="old", mend=said("Type it again."))
    _fit_password(new, user)
    user.set_password(new)
    user.save(update_fields=["password"])


# Phones


def make_pairing_code(name: str, role: str, *, now: datetime | None = None) -> str:
    """Make a code such as ``7KQ4-M2XD`` that pairs one phone within ten minutes.

    ``name`` is what the phone will be called; "" leaves it to the phone.
    """
    now = now or timezone.now()
    name = _tidy_name(name, most=60) if name.strip() else ""
    code = "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))
    PairingCode.objects.create(
        code_hash=_sha256(code), name=name, role=_known_role(role), made_at=now, ends_at=now + CODE_LIFE
    )
    return f"{code[:4]}-{code[4:]}"


def cancel_code(key: int, *, now: datetime | None = None) -> bool:
    """End a pairing code now; whether it was still open."""
    now = now or timezone.now()
    return bool(PairingCode.objects.filter(pk=key, used_at__isnull=True, ends_at__gt=now).update(ends_at=now))


def pair(code: str, *, who: str, name: str = "", now: datetime | None = None) -> tuple[Device, str]:
    """Turn a code into a paired phone and its token.

    Parameters
    ----------
    code : as typed; case, spaces and dashes do not matter.
    who : where the try comes from (an address), for the throttle.
    name : the phone's own name, used when the code was made without one; mended, never refused.

    Raises
    ------
    BadValue : not the shape of a code; costs no try.
    SlowDown : too many wrong tries.
    Refused : no such code, or it is used, too old, or dead after ten wrong guesses.
    """
    now = now or timezone.now()
    tidy = "".join(code.upper().split()).replace("-", "")
    if len(tidy) != CODE_LENGTH or any(letter not in CODE_LETTERS for letter in tidy):
        raise BadValue(
            said("This is not a pairing code."),
            field="code",
            mend=said("A code has 8 letters and digits, such as 7KQ4-M2XD; it never has 0, O, 1, I or L."),
        )
    knock = throttle("pair", who, now=now)
    taken = _take_code(tidy, now)
    if taken is None:
        raise Refused(
            said("No open pairing code is like this."),
            code="wrong_code",
            field="code",
            mend=said("Make a new code at the shed: each works once, for ten minutes."),
        )
    token = secrets.token_urlsafe(32)
    device = Device.objects.create(
        name=free_name(taken.name or _own_name(name)),
        role=taken.role,
        token_hash=_sha256(token),
        paired_at=now,
        seen_at=now,
    )
    knock.passed()
    return device, token


def _take_code(tidy: str, now: datetime) -> PairingCode | None:
    """Count one try on every open code, then use up the one that fits, if any.

    Counted before compared, under the rows' locks: however many guess at once, no more than CODE_TRIES of
    them are ever compared with a code. Committed whether or not the guess was right.
    """
    with transaction.atomic():
        open_codes = PairingCode.objects.filter(
            used_at__isnull=True, ends_at__gt=now, tries__lt=CODE_TRIES
        ).order_by("pk")
        keys = list(open_codes.select_for_update().values_list("pk", flat=True))
        PairingCode.objects.filter(pk__in=keys).update(tries=F("tries") + 1)
        hit = PairingCode.objects.filter(pk__in=keys, code_hash=_sha256(tidy)).first()
        if hit is not None:
            PairingCode.objects.filter(pk=hit.pk).update(used_at=now)
            # A right guess is no guess at the other codes.
            PairingCode.objects.filter(pk__in=keys).exclude(pk=hit.pk).update(tries=F("tries") - 1)
    return hit


def device_for(token: str, *, now: datetime | None = None) -> Device | None:
    """The phone with this token, unless it was revoked. Its ``seen_at`` tells of the visit before."""
    now = now or timezone.now()
    device = Device.objects.filter(token_hash=_sha256(token), revoked_at__isnull=True).first()
    if device is not None and (device.seen_at is None or now - device.seen_at > SEEN_EVERY):
        # While another writer holds the database the phone goes on reading, seen or not.
        with suppress(OperationalError):
            Device.objects.filter(pk=device.pk).update(seen_at=now)
    return device


def revoke(device: Device, *, now: datetime | None = None) -> None:
    """Shut a phone out from its next request on. What it holds can still be handed over as a file."""
    now = now or timezone.now()
    Device.objects.filter(pk=device.pk, revoked_at__isnull=True).update(revoked_at=now)
    device.refresh_from_db()


def rename(device: Device, name: str) -> None:
    """Call a phone something else; BadValue when another phone in use has the name."""
    name = _tidy_name(name, most=60)
    if Device.objects.filter(name=name, revoked_at__isnull=True).exclude(pk=device.pk).exists():
        told = said("Another phone is called {name}.", name=name)
        raise BadValue(told, field="name", mend=said("Take another name."))
    device.name = name
    device.save(update_fields=["name"])


def free_name(name: str) -> str:
    """The name, or ``name 2``, ``name 3`` ... when a phone in use has it: a name tells phones apart."""
    used = set(Device.objects.filter(revoked_at__isnull=True).values_list("name", flat=True))
    candidate, number = name, 2
    while candidate in used:
        tail = f" {number}"
        candidate, number = name[: 60 - len(tail)] + tail, number + 1
    return candidate


# Slowing down those who guess


@dataclass(frozen=True)
class Knock:
    """A try let through, counted as wrong until ``passed`` is called."""

    gate: str
    who: tuple[str, ...]

    def passed(self) -> None:
        """It was right: forget it and the wrong ones before it."""
        WrongTry.objects.filter(gate=self.gate, who__in=self.who).delete()


def throttle(gate: str, *who: str, now: datetime | None = None) -> Knock:
    """Count a try at a gate ("pair", "sign_in") before it is judged; SlowDown when it comes too soon.

    Parameters
    ----------
    who : each is slowed on its own: an address, and for a sign-in the name as well.

    Counting first makes it safe against many tries at once: whoever is compared has been counted, and each
    try sees those counted before it. A refused try is not kept: asking again does not prolong the wait.
    """
    now = now or timezone.now()
    tries = WrongTry.objects.filter(gate=gate)
    tries.filter(at__lte=now - TRY_MEMORY).delete()
    if tries.count() >= GATE_TRIES:
        raise SlowDown(GATE_WAIT_S)
    # Hashed: people type passwords into the name field.
    names = tuple(_sha256(one.strip().lower()) for one in who)
    mine = [WrongTry.objects.create(gate=gate, who=one, at=now).pk for one in names]
    others = tries.exclude(pk__in=mine)
    before = [list(others.filter(who=name).values_list("at", flat=True)) for name in names]
    wait = max((_wait(one, now) for one in before), default=0)
    if wait:
        WrongTry.objects.filter(pk__in=mine).delete()
        raise SlowDown(wait)
    return Knock(gate, names)


def _wait(before: list[datetime], now: datetime) -> int:
    """Seconds still to wait after these wrong tries; 0 for none."""
    over = len(before) - FREE_TRIES
    if over < 0:
        return 0
    delay = min(2 ** min(over + 1, 16), LONGEST_WAIT_S)
    left = delay - (now - max(before)).total_seconds()
    return max(0, -int(-left // 1))


def address(meta: Mapping[str, Any], *, proxied: bool) -> str:
    """Where a request comes from. Behind our own proxy: what the proxy saw, the last word of its header."""
    if proxied and meta.get("HTTP_X_FORWARDED_FOR"):
        return str(meta["HTTP_X_FORWARDED_FOR"]).split(",")[-1].strip()
    return str(meta.get("REMOTE_ADDR") or "unknown")


# Small shared checks


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _fit_password(password: str, user: User) -> None:
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise BadValue(
            " ".join(error.messages),
            field="password",
            mend=said("Take a longer or less common password."),
        ) from None


def _known_role(role: str) -> str:
    if role not in Role.values:
        raise BadValue(f"No role is called {role}.", field="role", mend="Use owner, helper or viewer.")
    return role


def _tidy_name(name: str, *, most: int) -> str:
    name = " ".join(name.split())
    if not name or len(name) > most or not name.isprintable():
        raise BadValue(
            said("A name has 1 to {most} ordinary characters.", most=most),
            field="name",
            mend=said("Take another name."),
        )
    return name


def _own_name(name: str) -> str:
    """What a phone calls itself, made fit to show."""
    shown = "".join(letter if letter.isprintable() else " " for letter in name)
    return " ".join(shown.split())[:60].strip() or "Phone"

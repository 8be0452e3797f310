"""Take bodies apart: each refusal names the field."""

from typing import Any
from uuid import UUID

from api.errors import TooLarge
from nursery.errors import BadValue


def listed(data: Any, name: str, *, most: int) -> list[Any]:
    """The list ``name`` of a body; TooLarge when it has more than ``most`` entries."""
    if not isinstance(data, dict):
        raise BadValue("The body is not an object.", mend=f'Send {{"{name}": [...]}}.')
    value = data.get(name)
    if not isinstance(value, list):
        raise BadValue(f"{name} is not a list.", field=name, mend=f'Send {{"{name}": [...]}}.')
    if len(value) > most:
        raise TooLarge(
            f"{len(value)} {name} are too many at once.", field=name, mend=f"Send at most {most} at once."
        )
    return value


def worded(data: Any, name: str, *, most: int, needed: bool = True) -> str:
    """The text ``name`` of a body; one not needed may be absent or blank."""
    if not isinstance(data, dict):
        raise BadValue("The body is not an object.", mend=f'Send {{"{name}": "..."}}.')
    value = data.get(name)
    if value is None and not needed:
        return ""
    if not isinstance(value, str) or len(value) > most or (needed and not value.strip()):
        raise BadValue(
            f"{name} is not a text of 1 to {most} characters.", field=name, mend=f"Send {name} as text."
        )
    return value


def identified(values: list[Any], name: str) -> list[UUID]:
    """The UUIDs of a list, each written the usual way."""
    return [_uuid(value, f"{name}[{index}]") for index, value in enumerate(values)]


def _uuid(value: Any, field: str) -> UUID:
    try:
        read = UUID(value)
    except (ValueError, TypeError, AttributeError):
        read = None
    if read is None or str(read) != str(value).lower():
        raise BadValue(f"{field} is not a UUID.", field=field, mend="Write it as 8-4-4-4-12 hex digits.")
    return read


def whole(text: str | None, name: str, *, default: int, most: int) -> int:
    """A whole number from 1 to ``most`` out of the query."""
    if text is None or text == "":
        return default
    if text.isascii() and text.isdecimal() and len(text) < 10 and 1 <= int(text) <= most:
        return int(text)
    raise BadValue(
        f"{name} is not a whole number from 1 to {most}.", field=name, mend=f"Leave {name} out, or mend it."
    )


def cursor(text: str | None) -> tuple[str, int]:
    """``<epoch>:<seq>`` out of the query; ("", 0) from nothing."""
    if not text:
        return "", 0
    epoch, parted, seq = text.rpartition(":")
    if parted and epoch and seq.isascii() and seq.isdecimal() and len(seq) < 19:
        return epoch, int(seq)
    raise BadValue(
        "since is not a cursor.", field="since", mend="Send back the epoch and seq of the last answer."
    )

"""Take bodies apart: each refusal names the field."""

from typing import Any
from uuid import UUID

from api.errors import TooLarge
from nursery.errors import BadValue
from nursery.sentences import said


def listed(data: Any, name: str, *, most: int) -> list[Any]:
    """The list ``name`` of a body; TooLarge when it has more than ``most`` entries."""
    if not isinstance(data, dict):
        raise BadValue(said("The body is not an object."), mend=_send(f'{{"{name}": [...]}}'))
    value = data.get(name)
    if not isinstance(value, list):
        raise BadValue(
            said("{name} is not a list.", name=name), field=name, mend=_send(f'{{"{name}": [...]}}')
        )
    if len(value) > most:
        raise TooLarge(
            said("{n} {name} are too many at once.", n=len(value), name=name),
            field=name,
            mend=said("Send at most {most} at once.", most=most),
        )
    return value


def _send(what: str) -> str:
    return said("Send {what}.", what=what)


def worded(data: Any, name: str, *, most: int, needed: bool = True) -> str:
    """The text ``name`` of a body; one not needed may be absent or blank."""
    if not isinstance(data, dict):
        raise BadValue(said("The body is not an object."), mend=_send(f'{{"{name}": "..."}}'))
    value = data.get(name)
    if value is None and not needed:
        return ""
    if not isinstance(value, str) or len(value) > most or (needed and not value.strip()):
        raise BadValue(
            said("{name} is not a text of 1 to {most} characters.", name=name, most=most),
            field=name,
            mend=said("Send {name} as text.", name=name),
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
        raise BadValue(
            said("{field} is not a UUID.", field=field),
            field=field,
            mend=said("Write it as 8-4-4-4-12 hex digits."),
        )
    return read


def whole(text: str | None, name: str, *, default: int, most: int) -> int:
    """A whole number from 1 to ``most`` out of the query."""
    if text is None or text == "":
        return default
    if text.isascii() and text.isdecimal() and len(text) < 10 and 1 <= int(text) <= most:
        return int(text)
    raise BadValue(
        said("{name} is not a whole number from 1 to {most}.", name=name, most=most),
        field=name,
        mend=said("Leave {name} out, or mend it.", name=name),
    )


def cursor(text: str | None) -> tuple[str, int]:
    """``<epoch>:<seq>`` out of the query; ("", 0) from nothing."""
    if not text:
        return "", 0
    epoch, parted, seq = text.rpartition(":")
    if parted and epoch and seq.isascii() and seq.isdecimal() and len(seq) < 19:
        return epoch, int(seq)
    raise BadValue(
        said("since is not a cursor."),
        field="since",
        mend=said("Send back the epoch and seq of the last answer."),
    )

"""What can be wrong with a picture, or with taking one in."""

from nursery.errors import BadValue, MishoError


class BadPhoto(BadValue):
    """A file that is no picture, or none that is kept here. ``code`` becomes the refusal's reason."""

    code = "not_a_photo"


class IdInUse(MishoError):
    """Another file came under this id before."""

    code = "id_reused"


class NoRoom(MishoError):
    """The shed's disk is nearly full."""

    code = "no_room"


class Restoring(MishoError):
    """A backup is being put back: no picture comes into a folder that is about to go."""

    code = "busy"


class TooMany(MishoError):
    """More pictures in a day than a phone takes. ``retry_after`` is the wait [s]."""

    code = "slow_down"

    def __init__(self, message: str, *, mend: str, retry_after: int) -> None:
        super().__init__(message, mend=mend)
        self.retry_after = retry_after

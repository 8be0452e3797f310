"""Why a file was not written, not taken, or not trusted: one sentence, and the mend."""

from nursery.errors import MishoError


class CannotBackUp(MishoError):
    """The backup was not written; what was there before is untouched."""

    code = "cannot_back_up"


class BadBackup(MishoError):
    """The file is damaged, foreign or of a newer version; the site is untouched."""

    code = "bad_backup"


class CannotRestore(MishoError):
    """The file is good, but the site it should replace stands in the way; the site is untouched."""

    code = "cannot_restore"


class BadHandOver(MishoError):
    """A phone's file cannot be read whole; ``total`` of its records is None where it cannot be known."""

    code = "bad_hand_over"

    def __init__(self, message: str, *, mend: str, readable: int = 0, total: int | None = None) -> None:
        super().__init__(message, field="file", mend=mend)
        self.readable = readable
        self.total = total

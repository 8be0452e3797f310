"""One family of errors: each names what is wrong, the field, and the mend."""


class MishoError(Exception):
    """A fault that a person can mend.

    Parameters
    ----------
    message : what is wrong, one sentence for a grower.
    code : a short word for programs, stable for ever.
    field : the field at fault, or "".
    mend : what to do about it, or "".
    """

    code = "bad_request"

    def __init__(self, message: str, *, code: str = "", field: str = "", mend: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.code = code or self.code
        self.field = field
        self.mend = mend


class BadValue(MishoError):
    """A value that cannot be: out of range, wrong type, missing."""

    code = "bad_value"


class Refused(MishoError):
    """A thing that this person or phone may not do."""

    code = "forbidden"

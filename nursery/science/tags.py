"""Tags with a check character, so that a misread tag is noticed before it names another tree.

A tag is one to three letters, the number in three or four digits, and the check character: ``K041D``.

The check is a pure system in the manner of ISO/IEC 7064, with modulus 31 and radix 3: with the values v of
the characters counted from the right (the check character is number 0), sum(v_i * 3**i) = 0 (mod 31). 31 is
prime and 3 a primitive root of it, so every single wrong character and every swap of two neighbours (and of
next neighbours) changes the sum. Two rules keep that true for characters that share a value: letters stand
only before digits, and a number has a fourth digit only when it needs it.
"""

#: Characters that a check may be: no 0 O 1 I L, which are misread for one another.
CHECKS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
#: Letters that a prefix may have: those of a check but U, which gives its value to the digit 1.
LETTERS = "ABCDEFGHJKMNPQRSTVWXYZ"
MODULUS = 31
RADIX = 3
MOST_NUMBER = 9999

# 22 letters are 0..21 and the digits 1-9 are 22..30: wherever a letter and a digit could stand in one place,
# they differ. The digit 0 never stands where a letter could (no number of four digits starts with it).
_VALUE = {char: at for at, char in enumerate(LETTERS + "123456789")} | {"0": 0}
_CHECK_VALUE = {**{char: at for char, at in _VALUE.items() if char in CHECKS}, "U": _VALUE["1"]}
_CHECK_OF = {value: char for char, value in _CHECK_VALUE.items()}


def _check(body: str) -> str:
    total = 0
    for char in body:
        total = (total + _VALUE[char]) * RADIX % MODULUS
    return _CHECK_OF[-total % MODULUS]


def _well_formed(body: str) -> bool:
    prefix = body.rstrip("0123456789")
    digits = body[len(prefix) :]
    if not 1 <= len(prefix) <= 3 or any(char not in LETTERS for char in prefix):
        return False
    return (len(digits) == 3 and digits != "000") or (len(digits) == 4 and digits[0] != "0")


def make(prefix: str, number: int) -> str:
    """Make the tag of a number.

    Parameters
    ----------
    prefix : one to three capital letters of ``LETTERS``.
    number : 1 to 9999.

    Returns
    -------
    The tag, for example ``make("K", 41)`` gives ``K041`` and its check character.

    Raises
    ------
    ValueError
        When the prefix or the number cannot be in a tag.
    """
    if not 1 <= len(prefix) <= 3 or any(char not in LETTERS for char in prefix):
        raise ValueError(f"a tag starts with one to three of the letters {LETTERS}, not {prefix!r}")
    if not 1 <= number <= MOST_NUMBER:
        raise ValueError(f"a tag's number is 1 to {MOST_NUMBER}, not {number}")
    body = f"{prefix}{number:03d}"
    return body + _check(body)


def valid(tag: str) -> bool:
    """Whether this is a tag that ``make`` can give (capitals, right check character)."""
    body, check = tag[:-1], tag[-1:]
    return check in _CHECK_VALUE and _well_formed(body) and _check(body) == check

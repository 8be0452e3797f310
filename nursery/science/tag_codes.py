"""What the QR code of a printed tag says.

``MISHO.<edge>.<tree>.<tag>``, for example ``MISHO.220.9F3A61C2.K041D``:

- ``MISHO`` tells our codes from any other code on a pot;
- ``edge`` is the printed length of the code's edge, without its quiet margin, in tenths of a millimetre and
  always three digits (``220``: 22.0 mm), so that a picture of the tag carries its own scale;
- ``tree`` is the last eight hex digits of the tree's id, in capitals: it finds the tree after a new tag was
  given, and tells it from a tree of the same tag in another nursery;
- ``tag`` is the tag as it reads beside the code; whatever follows the third point, points too.

No address: a code must be read where there is no network, and must not lead anywhere.
All but the tag are digits and capitals, which a QR code packs tightest. The phone's twin is
``bench/model/codes.ts``, held to this by shared vectors.
"""

import re
from dataclasses import dataclass
from uuid import UUID

START = "MISHO"
_FORM = re.compile(r"MISHO\.([0-9]{3})\.([0-9A-F]{8})\.([^\x00-\x1f\x7f]{1,16})")


@dataclass(frozen=True)
class TagCode:
    """A code that was read: the edge it was printed with [mm], the end of the tree's id, the tag."""

    edge_mm: float
    tree_end: str
    tag: str


def tree_end(tree: UUID) -> str:
    """The part of a tree's id that a code carries: 8 capitals of hex, which are random in our ids."""
    return tree.hex[-8:].upper()


def make_code(tag: str, tree: UUID, edge_mm: float) -> str:
    """The text of a tag's code.

    Parameters
    ----------
    tag : 1 to 16 characters.
    edge_mm : 1.0 to 99.9 [mm], rounded to a tenth.

    Raises
    ------
    ValueError
        When the tag or the edge cannot be in a code.
    """
    text = f"{START}.{round(edge_mm * 10):03d}.{tree_end(tree)}.{tag}"
    if not 1 <= edge_mm <= 99.9 or read_code(text) is None:
        raise ValueError(f"no code can say the tag {tag!r} at {edge_mm} mm")
    return text


def read_code(text: str) -> TagCode | None:
    """What a code says; None for one that is not ours."""
    found = _FORM.fullmatch(text)
    if found is None or found[1] < "010":
        return None
    return TagCode(int(found[1]) / 10, found[2], found[3])

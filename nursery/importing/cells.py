"""Reads single cells of a grower's list: each says what is wrong with it and what would be right."""

import difflib
import re
from collections.abc import Iterable

from nursery.models import Phase, Species

_WHOLE = re.compile(r"\d{1,9}(?:[.,]0+)?")
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?")
_PHASES = {
    "sown": Phase.SOWN,
    "seed": Phase.SOWN,
    "seedling": Phase.SEEDLING,
    "seedlings": Phase.SEEDLING,
    "root": Phase.ROOTS,
    "roots": Phase.ROOTS,
    "trunk": Phase.TRUNK,
    "branch": Phase.BRANCHES,
    "branches": Phase.BRANCHES,
    "refine": Phase.REFINEMENT,
    "refining": Phase.REFINEMENT,
    "refinement": Phase.REFINEMENT,
}


class WrongCell(Exception):
    """A cell that can't be used: what is wrong, and the mend."""

    def __init__(self, message: str, mend: str) -> None:
        super().__init__(message)
        self.message, self.mend = message, mend


def tag(cell: str) -> str:
    if not cell:
        raise WrongCell("the tag is missing.", "Give each tree a tag.")
    if len(cell) > 16 or not cell.isprintable():
        raise WrongCell(f"{_shown(cell)} can't be a tag.", "Use 1 to 16 printable characters.")
    return cell


def whole(cell: str, low: int, high: int) -> int | None:
    """A whole number; ``2019`` or, as spreadsheets write it, ``2019.0``."""
    if not cell:
        return None
    mend = f"Use a whole number from {low} to {high}."
    if not _WHOLE.fullmatch(cell):
        raise WrongCell(f"{_shown(cell)} is not a whole number.", mend)
    value = int(re.split("[.,]", cell)[0])
    if not low <= value <= high:
        raise WrongCell(f"{value} is outside {low} to {high}.", mend)
    return value


def millimetres(cell: str, low: float, high: float, *, scale: float, decimal_comma: bool) -> float | None:
    """A length [mm] out of a cell in the heading's unit (``scale`` millimetres each)."""
    if not cell:
        return None
    bare = re.sub(r"\s*mm$", "", cell, flags=re.IGNORECASE) if scale == 1.0 else cell
    number = bare.replace(",", ".") if decimal_comma else bare
    if not _NUMBER.fullmatch(number):
        mend = "Write the number with a point: 12.5." if "," in cell else "Use a number, for example 12.5."
        raise WrongCell(f"{_shown(cell)} is not a number.", mend)
    value = round(float(number) * scale, 3)
    if not low <= value <= high:
        raise WrongCell(f"{value:g} mm is outside {low:g} to {high:g} mm.", "Check the number and its unit.")
    return value


def phase(cell: str) -> str | None:
    if not cell:
        return None
    found = _PHASES.get(cell.casefold())
    if found is None:
        raise WrongCell(f"{_shown(cell)} is not a phase.", f"Use one of: {', '.join(Phase.values)}.")
    return str(found.value)


def text(cell: str, longest: int) -> str:
    if len(cell) > longest:
        raise WrongCell(f"the text has {len(cell)} characters.", f"Use at most {longest}.")
    return cell


class SpeciesBook:
    """Finds a species by its slug, name or Latin name, or by words that only one of them has."""

    def __init__(self, species: Iterable[Species]) -> None:
        self._names: dict[str, str] = {}
        self._words: dict[str, set[str]] = {}
        self._shown: dict[str, str] = {}
        for one in species:
            self._shown[one.slug] = one.name
            for name in (one.slug, one.name, one.latin):
                self._names[_plain(name)] = one.slug
            self._words[one.slug] = set(_plain(f"{one.name} {one.latin}").split())

    def find(self, cell: str) -> str:
        """The slug."""
        plain = _plain(cell)
        if not plain:
            raise WrongCell("the species is missing.", f"Use one of: {self._all()}.")
        if plain in self._names:
            return self._names[plain]
        asked = set(plain.split())
        fit = sorted(slug for slug, words in self._words.items() if asked <= words)
        if len(fit) == 1:
            return fit[0]
        if fit:
            which = " or ".join(self._shown[slug] for slug in fit)
            raise WrongCell(f"{_shown(cell)} can be several species.", f"Say which: {which}.")
        near = difflib.get_close_matches(plain, self._names, n=1, cutoff=0.7)
        mend = f"Did you mean {self._shown[self._names[near[0]]]}?" if near else f"Use one of: {self._all()}."
        raise WrongCell(f"{_shown(cell)} is not a known species.", mend)

    def _all(self) -> str:
        return ", ".join(self._shown.values())


def _plain(name: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", name.casefold()))


def _shown(cell: str) -> str:
    return f'"{cell}"' if len(cell) <= 40 else f'"{cell[:37]}..."'

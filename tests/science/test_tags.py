"""The check character catches every misreading of one character and every swap of two neighbours.

The sum is linear over a field of 31, so whether an error shows depends on its place and on the two
characters only. Going through every layout, place and pair is therefore exhaustive.
"""

import json
from pathlib import Path

import pytest

from nursery.science import tags

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "tags.json").read_text())
ANYTHING = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
PREFIXES = ["K", "KV", "KVA"]
NUMBERS = [7, 41, 999, 1000, 4071]


def _every_character_in_every_place() -> list[str]:
    out = set()
    for prefix in PREFIXES:
        for number in NUMBERS:
            for at in range(len(prefix)):
                for letter in tags.LETTERS:
                    out.add(tags.make(prefix[:at] + letter + prefix[at + 1 :], number))
            for place in (1, 10, 100, 1000):
                for digit in range(10):
                    other = number - number // place % 10 * place + digit * place
                    if 1 <= other <= 9999:
                        out.add(tags.make(prefix, other))
    return sorted(out)


def test_no_single_wrong_character_passes():
    seen = 0
    for tag in _every_character_in_every_place():
        assert tags.valid(tag)
        for at, right in enumerate(tag):
            for wrong in ANYTHING:
                if wrong != right:
                    seen += 1
                    assert not tags.valid(tag[:at] + wrong + tag[at + 1 :]), (tag, at, wrong)
    assert seen > 50_000


def test_no_swap_of_neighbours_passes():
    seen = 0
    for prefix in ["K", "KV", "VK", "KVA", "BZ"]:
        for number in range(1, 10_000):
            tag = tags.make(prefix, number)
            for at in range(len(tag) - 1):
                if tag[at] != tag[at + 1]:
                    seen += 1
                    assert not tags.valid(tag[:at] + tag[at + 1] + tag[at] + tag[at + 2 :]), (tag, at)
    assert seen > 100_000


def test_swaps_within_every_pair_of_letters_are_caught():
    for one in tags.LETTERS:
        for two in tags.LETTERS:
            if one != two:
                check = tags.make(one + two, 41)[-1]
                assert not tags.valid(f"{two}{one}041{check}")


def test_check_characters_avoid_those_misread_for_one_another():
    used = {tags.make("K", number)[-1] for number in range(1, 2000)}
    assert used == set("23456789ABCDEFGHJKMNPQRSTUVWXYZ")


@pytest.mark.parametrize(("prefix", "number", "tag"), VECTORS["make"])
def test_vectors_shared_with_the_phone(prefix, number, tag):
    assert tags.make(prefix, number) == tag
    assert tags.valid(tag)


@pytest.mark.parametrize("tag", VECTORS["invalid"])
def test_vectors_that_are_no_tags(tag):
    assert not tags.valid(tag)


@pytest.mark.parametrize(
    ("prefix", "number"), [("", 1), ("I", 1), ("U", 1), ("k", 1), ("ABCD", 1), ("K", 0), ("K", 10_000)]
)
def test_what_no_tag_can_hold_is_refused(prefix, number):
    with pytest.raises(ValueError, match="a tag"):
        tags.make(prefix, number)

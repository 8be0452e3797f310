"""The text of a tag's code; the phone reads the same vectors."""

import json
from pathlib import Path
from uuid import UUID

import pytest

from nursery.science.tag_codes import TagCode, make_code, read_code

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "codes.json").read_text(encoding="utf-8"))
TREE = UUID("0199d2f0-7c1a-7b3e-8a55-4c2e9f3a61c2")


@pytest.mark.parametrize(("tag", "tree", "edge", "text"), VECTORS["make"])
def test_a_code_says_what_the_tag_says(tag: str, tree: str, edge: float, text: str) -> None:
    assert make_code(tag, UUID(tree), edge) == text
    assert read_code(text) == TagCode(edge, tree[-8:].upper(), tag)


@pytest.mark.parametrize("text", VECTORS["foreign"])
def test_a_foreign_code_is_told_apart(text: str) -> None:
    assert read_code(text) is None


@pytest.mark.parametrize(
    ("tag", "edge"), [("", 22), ("x" * 17, 22), ("K\t1", 22), ("K041D", 0.5), ("K041D", 100)]
)
def test_what_no_code_can_say_is_refused(tag: str, edge: float) -> None:
    with pytest.raises(ValueError, match="no code can say"):
        make_code(tag, TREE, edge)

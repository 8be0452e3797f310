"""A tree's pictures, for its page."""

from typing import Any
from uuid import UUID

from django import template

from nursery.photos.crown import crowns
from nursery.reports.photos import compared, filling, shots

register = template.Library()


@register.inclusion_tag("shed/tree/photos.html", takes_context=True)
def tree_photos(context: template.Context, tree: UUID) -> dict[str, Any]:
    """The timeline, and two pictures laid over each other: ``?before=`` and ``?after=`` choose them."""
    asked = context["request"].GET
    found = shots(tree)
    pair = compared(found.shown, asked.get("before", ""), asked.get("after", ""))
    told = filling(pair, crowns([shot.photo for shot in pair])) if pair else ""
    return {"tree": tree, "shots": found, "pair": pair, "filling": told}

"""The age of the last backup, for the foot of every page."""

from django import template
from django.utils.translation import gettext

from frontend.templatetags.shed import aged
from nursery import keeping

register = template.Library()


@register.simple_tag
def backup_word() -> str:
    """Say how old it is, or that there is none."""
    last = keeping.last_good()
    if last is None:
        return gettext("No backup yet")
    return gettext("Backup: {age}").format(age=aged(last[1]))


@register.simple_tag
def backup_is_old() -> bool:
    """Whether somebody should look: none, or none since two days."""
    last = keeping.last_good()
    return last is None or last[1] > keeping.OLD

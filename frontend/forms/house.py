"""Letting phones and people in."""

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from frontend.forms.base import ShedForm, line, one_of
from nursery.models import Role

ROLE_CHOICES = [
    (Role.HELPER, _("helper: records and settles")),
    (Role.VIEWER, _("viewer: only looks")),
    (Role.OWNER, _("owner: everything")),
]


class PhoneForm(ShedForm):
    name = line(_("What to call it"), 60, required=False, help_text=_("Whose it is, or its colour."))
    role = one_of(pgettext_lazy("is allowed to", "May"), ROLE_CHOICES)


class RenameForm(ShedForm):
    name = line(_("New name"), 60)


class InviteForm(ShedForm):
    role = one_of(_("Let in as"), ROLE_CHOICES)


class RoleForm(ShedForm):
    role = one_of(_("Role"), Role.choices)

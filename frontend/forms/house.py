"""Letting phones and people in."""

from frontend.forms.base import ShedForm, line, one_of
from nursery.models import Role

ROLE_CHOICES = [
    (Role.HELPER, "helper: records and settles"),
    (Role.VIEWER, "viewer: only looks"),
    (Role.OWNER, "owner: everything"),
]


class PhoneForm(ShedForm):
    name = line("What to call it", 60, required=False, help_text="Whose it is, or its colour.")
    role = one_of("May", ROLE_CHOICES)


class RenameForm(ShedForm):
    name = line("New name", 60)


class InviteForm(ShedForm):
    role = one_of("Let in as", ROLE_CHOICES)


class RoleForm(ShedForm):
    role = one_of("Role", Role.choices)

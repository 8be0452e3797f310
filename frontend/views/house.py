"""Phones and people: whom the owner lets in."""

from uuid import UUID

import segno
from django.contrib import messages
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from frontend.forms.house import InviteForm, PhoneForm, RenameForm, RoleForm
from frontend.views.common import posted
from frontend.who import needs
from nursery import people
from nursery.errors import BadValue
from nursery.models import Device, Person, Role
from nursery.people import Action
from nursery.reports import house


def _no_store(response: HttpResponse) -> HttpResponse:
    """A secret is shown once, and kept by no cache."""
    response.headers["Cache-Control"] = "no-store"
    return response


@require_safe
@needs(Action.READ)
def phone_list(request: HttpRequest) -> HttpResponse:
    return _phones(request, PhoneForm())


def _phones(request: HttpRequest, form: PhoneForm, status: int = 200) -> HttpResponse:
    facts = {
        "phones": house.phones(),
        "codes": house.open_codes(timezone.now(), people.CODE_TRIES),
        "form": form,
    }
    return render(request, "shed/phones.html", facts, status=status)


@posted("phones")
@needs(Action.PAIR_PHONE)
def pair_phone(request: HttpRequest) -> HttpResponse:
    form = PhoneForm(request.POST)
    if form.is_valid():
        try:
            code = people.make_pairing_code(form.cleaned_data["name"], form.cleaned_data["role"])
        except BadValue as bad:
            form.refuse(bad.field, bad.message, bad.mend)
        else:
            address = request.build_absolute_uri(f"/bench/#pair={code}")
            facts = {
                "code": code,
                "address": address,
                "qr": segno.make(address, micro=False, error="m").svg_data_uri(
                    scale=6, border=4, light="#fff"
                ),
                "minutes": int(people.CODE_LIFE.total_seconds() // 60),
                "name": form.cleaned_data["name"],
                "unsafe": not request.is_secure()
                and request.get_host().split(":")[0] not in ("localhost", "127.0.0.1"),
            }
            return _no_store(render(request, "shed/pairing.html", facts))
    return _phones(request, form, status=400)


@posted("phones")
@needs(Action.PAIR_PHONE)
def cancel_code(request: HttpRequest, id: int) -> HttpResponse:
    """Close a pairing code before its time: it was seen by the wrong eyes, or is not wanted."""
    if people.cancel_code(id):
        messages.success(request, gettext("The code is cancelled. No phone can use it any more."))
    else:
        messages.error(
            request, gettext("This code was used or had ended before. Is a new phone listed here?")
        )
    return redirect("phones")


@posted("phones")
@needs(Action.PAIR_PHONE)
def rename_phone(request: HttpRequest, id: UUID) -> HttpResponse:
    device = get_object_or_404(Device, pk=id)
    form = RenameForm(request.POST)
    if not form.is_valid():
        messages.error(request, gettext("New name: 1 to 60 ordinary characters."))
        return redirect("phones")
    try:
        people.rename(device, form.cleaned_data["name"])
    except BadValue as bad:
        messages.error(request, f"{bad.message} {bad.mend}")
    else:
        messages.success(request, gettext("Now called {name}.").format(name=device.name))
    return redirect("phones")


@posted("phones")
@needs(Action.REVOKE_PHONE)
def revoke_phone(request: HttpRequest, id: UUID) -> HttpResponse:
    device = get_object_or_404(Device, pk=id)
    people.revoke(device)
    messages.success(
        request,
        gettext(
            "{name} is shut out. Records still on it can be handed over by file: save it there, under "
            "This phone, and take it in here, by Hand over by file."
        ).format(name=device.name),
    )
    return redirect("phones")


@require_safe
@needs(Action.READ)
def people_list(request: HttpRequest) -> HttpResponse:
    return render(request, "shed/people.html", {"people": house.people(), "form": InviteForm()})


@posted("people")
@needs(Action.INVITE)
def invite(request: HttpRequest) -> HttpResponse:
    form = InviteForm(request.POST)
    if not form.is_valid():
        return render(request, "shed/people.html", {"people": house.people(), "form": form}, status=400)
    token = people.make_entry_link(form.cleaned_data["role"])
    address = request.build_absolute_uri(reverse("enter", args=[token]))
    hours = int(people.LINK_LIFE.total_seconds() // 3600)
    facts = {"address": address, "guest": Role(form.cleaned_data["role"]).label, "hours": hours}
    return _no_store(render(request, "shed/invited.html", facts))


def _person(request: HttpRequest, id: int) -> Person | None:
    """Somebody else; None for oneself: an owner cannot lock the last door from outside."""
    person = get_object_or_404(Person.objects.select_related("user"), user_id=id)
    if person.user_id == request.user.pk:
        messages.error(
            request, gettext("This is you. Ask another owner to change your role or switch you off.")
        )
        return None
    return person


@posted("people")
@needs(Action.INVITE)
def change_role(request: HttpRequest, id: int) -> HttpResponse:
    form = RoleForm(request.POST)
    person = _person(request, id)
    if person is not None and not form.is_valid():
        messages.error(request, gettext("Role: choose owner, helper or viewer."))
    elif person is not None:
        person.role = form.cleaned_data["role"]
        person.save(update_fields=["role"])
        said = gettext("{name} is now {role}.")
        messages.success(
            request, said.format(name=person.user.get_username(), role=person.get_role_display())
        )
    return redirect("people")


@posted("people")
@needs(Action.INVITE)
def switch(request: HttpRequest, id: int, way: str) -> HttpResponse:
    """Switch somebody off or on again. What they recorded stays."""
    person = _person(request, id)
    if person is not None:
        User.objects.filter(pk=person.user_id).update(is_active=way == "on")
        said = (
            gettext("{name} can sign in again.") if way == "on" else gettext("{name} can no longer sign in.")
        )
        messages.success(request, said.format(name=person.user.get_username()))
    return redirect("people")

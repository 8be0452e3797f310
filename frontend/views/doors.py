"""Coming in and going out."""

from urllib.parse import urlsplit

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from frontend.forms.doors import EnterForm, PasswordForm, SignInForm
from frontend.views.common import posted
from frontend.who import needs
from nursery import people
from nursery.errors import BadValue, Refused
from nursery.people import Action


def _where_to(request: HttpRequest) -> str:
    """The page that was asked for, if it is one of ours; else the first page."""
    asked = request.POST.get("next") or request.GET.get("next") or ""
    own = url_has_allowed_host_and_scheme(
        asked, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return asked if own and urlsplit(asked).path != settings.LOGIN_URL else settings.LOGIN_REDIRECT_URL


def _address(request: HttpRequest) -> str:
    return people.address(request.META, proxied=settings.SECURE_PROXY_SSL_HEADER is not None)


def _slow(request: HttpRequest, template: str, form: object, slow: people.SlowDown) -> HttpResponse:
    response = render(request, template, {"form": form}, status=429)
    response.headers["Retry-After"] = str(slow.retry_after)
    return response


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    if request.user.is_authenticated and request.method != "POST":
        return redirect(_where_to(request))
    form = SignInForm(request.POST or None)
    facts = {"form": form, "next": _where_to(request), "owner": people.owner_exists()}
    if request.method != "POST" or not form.is_valid():
        return render(request, "shed/sign_in.html", facts, status=400 if form.errors else 200)
    name = form.cleaned_data["name"]
    try:
        knock = people.throttle("sign_in", _address(request), name)
    except people.SlowDown as slow:
        form.refuse("", slow.message, slow.mend)
        return _slow(request, "shed/sign_in.html", form, slow)
    user = authenticate(request, username=name, password=form.cleaned_data["password"])
    if user is None:
        form.refuse(
            "",
            gettext("Name and password do not fit together."),
            gettext("Type both again; capitals count."),
        )
        return render(request, "shed/sign_in.html", facts, status=403)
    knock.passed()
    login(request, user)
    return redirect(_where_to(request))


@posted("today")
@never_cache
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    messages.success(request, gettext("Signed out."))
    return redirect("sign_in")


@sensitive_post_parameters("password", "again")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def enter(request: HttpRequest, token: str) -> HttpResponse:
    """Use a one-time link: choose a name and a password, and be in."""
    link = people.entry_link_open(token)
    if link is None:
        return render(request, "shed/enter_closed.html", status=410)
    form = EnterForm(request.POST or None)
    facts = {"form": form, "link": link}
    if request.method != "POST" or not form.is_valid():
        return render(request, "shed/enter.html", facts, status=400 if form.errors else 200)
    given = form.cleaned_data
    try:
        user = people.use_entry_link(token, name=given["name"], password=given["password"])
    except Refused:
        return render(request, "shed/enter_closed.html", status=410)
    except BadValue as bad:
        form.refuse(bad.field, bad.message, bad.mend)
        return render(request, "shed/enter.html", facts, status=400)
    login(request, user)
    messages.success(request, gettext("Welcome, {name}.").format(name=user.get_username()))
    return redirect("today")


@sensitive_post_parameters("old", "password", "again")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@needs(Action.READ)
def password(request: HttpRequest) -> HttpResponse:
    """Change one's own password. Other browsers of this person are signed out; phones are not."""
    form = PasswordForm(request.POST if request.method == "POST" else None)
    facts = {"form": form}
    if not form.is_valid():
        return render(request, "shed/password.html", facts, status=400 if form.errors else 200)
    user, given = get_object_or_404(User, pk=request.user.pk), form.cleaned_data
    try:
        # An open browser must not be a way to guess on without end.
        knock = people.throttle("password", user.get_username())
        people.change_password(user, old=given["old"], new=given["password"])
    except people.SlowDown as slow:
        form.refuse("", slow.message, slow.mend)
        return _slow(request, "shed/password.html", form, slow)
    except BadValue as bad:
        form.refuse(bad.field, bad.message, bad.mend)
        return render(request, "shed/password.html", facts, status=400)
    knock.passed()
    update_session_auth_hash(request, user)
    messages.success(
        request, gettext("The new password counts from now on. Other browsers of yours are signed out.")
    )
    return redirect("people")

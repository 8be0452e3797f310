"""Rows and visitors for the tests of the reports and of the shed's pages."""

import html
import re
import uuid
from datetime import date
from typing import Any

from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client

from nursery.models import JournalRecord, Person, Standing, Tree
from tests.factories import TreeFactory, record

PASSWORD = "moss on the north side"


def visitor(role: str) -> Client:
    """A browser signed in with a role; "" is a stranger."""
    client = Client()
    if role:
        user = User.objects.create_user(f"{role}-{uuid.uuid4().hex[:6]}")
        Person.objects.create(user=user, role=role)
        client.force_login(user)
    return client


def stand(tree: Tree, **fields: Any) -> Standing:
    """Give a tree this standing, whatever its records say."""
    blank = {
        "as_of": date(2026, 6, 1),
        "gate": "",
        "readiness": None,
        "held_by": "",
        "held_not_looked": False,
        "criteria": [],
        "due": [],
        "wire_state": "",
        "wire_on_since": None,
        "wire_look_by": None,
        "wire_why": "",
    }
    made, _ = Standing.objects.update_or_create(tree=tree, defaults=blank | fields)
    return made


def tree(tag: str, *, bench: Any = None, row: int = 1, place: int = 1, **standing: Any) -> Tree:
    """A tree with a standing of its own."""
    made: Tree = TreeFactory(tag=tag, bench=bench, row=row, place=place)
    stand(made, **standing)
    return made


def raw(kind: str, body: dict[str, Any], **rest: Any) -> dict[str, Any]:
    """A record as a phone would send it, right or wrong."""
    return record(kind, body, **rest)


def fate(id: object) -> str:
    return JournalRecord.objects.get(pk=id).fate


def text(response: HttpResponse) -> str:
    """What a page says: no tags, no doubled spaces."""
    body = re.sub(r"<head>.*?</head>", " ", response.content.decode(), flags=re.S)
    said = html.unescape(re.sub(r"<[^>]+>", " ", body))
    return re.sub(r" ([.,:;])", r"\1", re.sub(r"\s+", " ", said))

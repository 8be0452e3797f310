"""A phone of the tests: paired the real way, speaking over the real views."""

import gzip
import json
from typing import Any

from django.test import Client

from nursery import people
from nursery.models import Device

PUSH = "/api/sync/push"
PULL = "/api/sync/pull"
LACKING = "/api/sync/lacking"
PAIR = "/api/devices/pair"


class Phone:
    """Speaks as the bench app does; ``device`` is None before it is paired."""

    def __init__(self, role: str = "helper", name: str = "Bench phone", *, paired: bool = True) -> None:
        self.client = Client()
        self.device: Device | None = None
        if paired:
            answer = self.pair(people.make_pairing_code(name, role))
            assert answer.status_code == 200, answer.content
            self.device = Device.objects.get(pk=answer.json()["device"])

    def pair(self, code: str, **more: Any) -> Any:
        return self.post(PAIR, {"code": code, **more})

    def post(self, path: str, body: Any, **headers: str) -> Any:
        raw = body if isinstance(body, bytes) else json.dumps(body).encode()
        headers = {"X-Misho": "1"} | {name.replace("_", "-"): value for name, value in headers.items()}
        return self.client.post(path, raw, content_type="application/json", headers=headers)

    def post_packed(self, path: str, body: Any) -> Any:
        return self.post(path, gzip.compress(json.dumps(body).encode()), Content_Encoding="gzip")

    def push(self, records: list[Any], **headers: str) -> Any:
        return self.post(PUSH, {"records": records}, **headers)

    def pull(self, since: str = "", limit: int | None = None, headers: dict[str, str] | None = None) -> Any:
        query = {"since": since} | ({} if limit is None else {"limit": str(limit)})
        return self.client.get(PULL, query, headers=headers)

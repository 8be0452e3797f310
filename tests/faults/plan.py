"""What happens in a run, from its seed alone: phones, records, faults, in steps whose actions run at once."""

from __future__ import annotations

import base64
import hashlib
import io
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from PIL import Image

from .scene import BENCHES, LOT, PINE, TREES, as_id

Json = dict[str, Any]
#: Drafts by the key of the capture; None stands for a correction, whose record the plan does not know.
Intents = dict[str, list[Json | None]]

DAY_MS = 24 * 3600 * 1000
#: The longest that an action goes on before trouble comes to it [awaits].
AWAITS = {
    "pair": 45,
    "capture": 9,
    "undo": 14,
    "correct": 14,
    "sync": 70,
    "two_tabs": 90,
    "open": 8,
    "update": 60,
}
LOST_ON_THE_WAY = (
    "lose_request", "lose_answer", "late", "twice", "cut", "captive", "too_large", "slow_down", "bad_gateway",
    "poison",
)  # fmt: skip
#: Which request a fault waits for.
STRUCK = ("push", "push", "push", "photo", "photo", "pull", "any", "lacking")


@dataclass
class Plan:
    """``wire`` is what the phones' process is told."""

    seed: int
    kills: bool
    wire: Json = field(default_factory=dict)
    intents: Intents = field(default_factory=dict)


class Maker:
    def __init__(self, seed: int, kills_share: float) -> None:
        self.rng = random.Random(seed)
        self.seed = seed
        self.kills = self.rng.random() < kills_share
        self.phones = self.rng.choice((2, 2, 2, 3, 3, 4))
        self.intents: Intents = {}
        self.count = 0
        self.trees = [str(tree) for tree in TREES]
        self.notes = [0] * self.phones

    def make(self) -> Plan:
        rng = self.rng
        steps = [[self.action(phone, "pair", calm=0.8) for phone in range(self.phones)]]
        todo = [self.capture(phone) for phone in range(self.phones) for _ in range(rng.randint(2, 4))]
        todo += [self.action(phone, "sync") for phone in range(self.phones) for _ in range(rng.randint(1, 3))]
        todo += [self.correction(rng.randrange(self.phones)) for _ in range(rng.randint(0, 2))]
        todo += [self.oddity() for _ in range(rng.randint(1, 4))]
        rng.shuffle(todo)
        if rng.random() < 0.3:
            todo = self.with_restore(todo)
            if rng.random() < 0.2:
                todo = self.with_restore(todo)
        while todo:
            steps.append(self.at_once(todo))
        wire = {"seed": self.seed, "phones": self.phones, "page": rng.choice((3, 7, 50)), "steps": steps}
        return Plan(self.seed, self.kills, wire, self.intents)

    def at_once(self, todo: list[Json]) -> list[Json]:
        """The next actions, of phones that differ; what is done at the shed stands alone."""
        step = [todo.pop(0)]
        while todo and len(step) < 3 and self.rng.random() < 0.6:
            if any(not _beside(todo[0], action) for action in step):
                break
            step.append(todo.pop(0))
        return step

    def with_restore(self, todo: list[Json]) -> list[Json]:
        """A backup early on, put back later; records that were acknowledged between come from the phones.

        Then a phone records while it finds out.
        """
        early = self.rng.randint(0, len(todo) // 2)
        late = self.rng.randint(early + 1, len(todo))
        backup, restore = {"phone": 0, "do": "backup"}, {"phone": 0, "do": "restore"}
        phone = self.rng.randrange(self.phones)
        finds_out = [self.action(phone, "sync"), self.capture(phone)]
        return [*todo[:early], backup, *todo[early:late], restore, *finds_out, *todo[late:]]

    # ---- actions, each with or without trouble ----

    def action(self, phone: int, do: str, *, calm: float = 0.45, **more: Any) -> Json:
        rng = self.rng
        made: Json = {"phone": phone, "do": do, **more}
        if rng.random() < calm:
            return made
        if do in {"sync", "two_tabs", "pair"} and rng.random() < 0.65:
            made["wire"] = [self.wire_fault(do) for _ in range(rng.choice((1, 1, 2)))]
        else:
            what = rng.choices(("kill", "lost", "lost_late", "quota"), (5, 2, 2, 2))[0]
            made["upset"] = {"what": what, "after": rng.randint(1, AWAITS[do])}
        return made

    def wire_fault(self, do: str) -> Json:
        rng = self.rng
        on = "pull" if do == "pair" else rng.choice(STRUCK)
        kinds: list[Callable[[], Json]] = [
            *[lambda: {"what": rng.choice(LOST_ON_THE_WAY)}] * 6,
            lambda: {"what": "edit", "n": rng.randrange(96)},
            lambda: {"what": "slow", "n": rng.randrange(96)},
            lambda: {"what": rng.choice(("revoke_before", "revoke_after"))},
            *[lambda: {"what": "shed", "shed": f"locked:{rng.choice((1, 1, 2, 2, 3))}"}] * 2,
            *[lambda: {"what": "shed", "shed": "full"}] * 2,
        ]
        if self.kills:
            kinds += [lambda: {"what": "shed", "shed": f"die:{rng.randint(1, rng.choice((12, 80)))}"}] * 10
        fault = rng.choice(kinds)()
        if fault["what"] == "poison":
            on = "push"
        return {**fault, "on": on}

    def oddity(self) -> Json:
        rng, phone = self.rng, self.rng.randrange(self.phones)
        pick = rng.randrange(10)
        if pick < 2:
            return self.action(phone, "two_tabs", locks=rng.random() < 0.5)
        if pick == 2:
            return self.action(phone, "open")
        if pick == 3:
            return self.action(phone, "update")
        if pick < 6:
            offset = rng.choice((-DAY_MS, DAY_MS, -90_000, 90_000, 20 * 60_000))
            return {"phone": phone, "do": "clock", "offset": offset, "backwards": rng.random() < 0.4}
        if pick == 6:
            return {"phone": phone, "do": "revoke", "forever": rng.random() < 0.4}
        return {"phone": phone, "do": "edit", "n": rng.randrange(96)}

    def correction(self, phone: int) -> Json:
        self.count += 1
        key = f"c{self.count}"
        self.intents[key] = [None]
        more = {"pick": self.rng.randrange(100), "key": key}
        if self.rng.random() < 0.5:
            return self.action(phone, "undo", calm=0.6, **more)
        return self.action(phone, "correct", calm=0.6, mm=self.rng.randint(5, 90), **more)

    def capture(self, phone: int) -> Json:
        self.count += 1
        key = f"k{self.count}"
        drafts: list[Json] = []
        for _ in range(self.rng.choice((1, 1, 2, 3))):
            drafts += self.drafts()
        self.intents[key] = [*drafts]
        aside = self.rng.random() < 0.2
        return self.action(phone, "capture", calm=0.6, drafts=drafts, key=key, aside=aside)

    # ---- what a grower records ----

    def drafts(self) -> list[Json]:
        rng = self.rng
        self.count += 1
        mark, tree = self.count, rng.choice(self.trees)
        kinds: list[Callable[[], list[Json]]] = [
            lambda: [_draft("note", tree, text=f"note {self.seed}-{mark}")],
            lambda: [_draft("note", tree, text=f"Ein \U0001f332 {mark} " + "x" * rng.choice((1, 1, 1, 900)))],
            lambda: [_draft("soil_check", tree, state=rng.choice(("wet", "moist", "dry")))],
            lambda: [_draft("caliper", tree, mm=round(10.05 + mark / 10, 2))],
            lambda: [_draft("caliper", tree, mm=5000 + mark)],  # set aside: no trunk is so thick
            lambda: [_draft("wire_on", tree, part="trunk", wire_mm=round(1.005 + mark / 100, 3))],
            lambda: [_draft("wire_look", tree, state=rng.choice(("loose", "snug", "biting")))],
            lambda: [_draft("wire_off", tree)],
            lambda: [_draft("tree_tag", tree, tag=f"P{mark}")],
            lambda: [_draft("tree_move", tree, bench=str(rng.choice(BENCHES)), row=3, place=mark % 6 + 1)],
            lambda: [_draft("work_done", tree, task="water", detail=f"round {mark}")],
            *[lambda: [self.photo(mark, tree)]] * 3,
            lambda: self.new_tree(mark),
            lambda: self.walk(mark, tree),
        ]
        return rng.choice(kinds)()

    def new_tree(self, mark: int) -> list[Json]:
        """A tree of one phone's making; the others' looks at it may come before it."""
        tree = as_id(7, self.seed, mark)
        self.trees += [tree, tree]
        new = {"tag": f"N{mark}", "species": PINE, "lot": str(LOT), "phase": "seedling"}
        return [_draft("tree_new", tree, **new), _draft("soil_check", tree, state="moist")]

    def photo(self, mark: int, tree: str) -> Json:
        """A picture of its own, some too long for one piece."""
        data = picture(f"{self.seed}-{mark}", self.rng.choice((0, 0, 0, 5)))
        told = {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data), "width": 16, "height": 16}
        draft = _draft("photo", tree, photo=as_id(9, self.seed, mark), **told)
        return {**draft, "file": base64.b64encode(data).decode()}

    def walk(self, mark: int, tree: str) -> list[Json]:
        run = as_id(8, self.seed, mark)
        started = {"kind": "walk_started", "run": run, "body": {"bench": str(BENCHES[0])}}
        look = {**_draft("bud_check", tree, state="few", bulk=True), "run": run}
        return [started, look, {"kind": "walk_ended", "run": run, "body": {}}]


def _beside(one: Json, other: Json) -> bool:
    """Whether both may be done at once: by two phones, or by one that records while it syncs."""
    apart: bool = one["phone"] != other["phone"]
    records = [action for action in (one, other) if action["do"] == "capture"]
    in_two_tabs = len(records) == 2 and records[0]["aside"] != records[1]["aside"]
    return apart or in_two_tabs or {one["do"], other["do"]} == {"capture", "sync"}


def picture(words: str, long: int) -> bytes:
    """A small JPEG that says ``words`` in its comments; ``long`` more of them of 60 KB each."""
    plain = io.BytesIO()
    Image.new("RGB", (16, 16), (90, 120, 80)).save(plain, "JPEG")
    start, rest = plain.getvalue()[:2], plain.getvalue()[2:]
    comments = [words.encode(), *([words.encode().ljust(60_000, b".")] * long)]
    return start + b"".join(b"\xff\xfe" + (len(c) + 2).to_bytes(2, "big") + c for c in comments) + rest


def _draft(kind: str, tree: str, **body: Any) -> Json:
    return {"kind": kind, "tree": tree, "body": body}


def make(seed: int, kills_share: float) -> Plan:
    return Maker(seed, kills_share).make()

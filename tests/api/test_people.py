"""How people and phones get in, who may do what, and how guessing is slowed down."""

from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth.models import AnonymousUser, User

from nursery import people
from nursery.errors import BadValue, Refused
from nursery.models import Device, EntryLink, PairingCode, Person, WrongTry
from nursery.people import Action, SlowDown

NOON = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)

# Written out a second time on purpose: a slip in the table must fail here.
RIGHTS = [
    ("read", True, True, True),
    ("record", True, True, False),
    ("settle", True, True, False),
    ("import", True, False, False),
    ("invite", True, False, False),
    ("pair_phone", True, False, False),
    ("revoke_phone", True, False, False),
    ("backup", True, False, False),
    ("restore", True, False, False),
    ("settings", True, False, False),
]
CELLS = [
    (action, role, allowed)
    for action, *row in RIGHTS
    for role, allowed in zip(("owner", "helper", "viewer"), row, strict=True)
]


@pytest.mark.parametrize(("action", "role", "allowed"), CELLS)
def test_each_cell_of_the_role_table(action, role, allowed):
    assert people.may(role, action) is allowed


@pytest.mark.parametrize("action", list(Action))
@pytest.mark.parametrize("role", ["", "stranger", "OWNER"])
def test_no_other_role_may_do_anything(role, action):
    assert people.may(role, action) is False


def test_the_table_above_leaves_no_action_out():
    assert {action for action, *_ in RIGHTS} == {str(action) for action in Action}


def test_a_misspelt_action_is_a_fault_of_ours_not_a_refusal():
    with pytest.raises(ValueError, match="recrod"):
        people.may("owner", "recrod")


@pytest.mark.django_db
class TestEntryLinks:
    def test_the_owner_comes_in_once(self):
        token = people.make_entry_link("owner", now=NOON)
        assert people.owner_exists() is False
        user = people.use_entry_link(token, name=" Mika  Sand ", password="pine on the wall", now=NOON)
        assert (user.username, people.role_of(user), people.owner_exists()) == ("Mika Sand", "owner", True)
        assert user.check_password("pine on the wall")
        with pytest.raises(Refused) as refusal:
            people.use_entry_link(token, name="Other", password="pine on the wall", now=NOON)
        assert (refusal.value.code, refusal.value.message) == (
            "link_closed",
            "This entry link is used up or too old.",
        )
        assert User.objects.count() == 1

    def test_it_lives_48_hours(self):
        token = people.make_entry_link("viewer", now=NOON)
        just_before, at_end = NOON + timedelta(hours=47, minutes=59), NOON + timedelta(hours=48)
        link = people.entry_link_open(token, now=just_before)
        assert link is not None
        assert link.role == "viewer"
        assert people.entry_link_open(token, now=at_end) is None
        with pytest.raises(Refused):
            people.use_entry_link(token, name="Late", password="pine on the wall", now=at_end)

    @pytest.mark.parametrize(
        ("name", "password", "field"),
        [
            ("", "pine on the wall", "name"),
            ("   ", "pine on the wall", "name"),
            ("x" * 151, "pine on the wall", "name"),
            ("bell\x07", "pine on the wall", "name"),
            ("ann", "pine on the wall", "name"),
            ("Kim", "short", "password"),
            ("Kim", "password123", "password"),
        ],
    )
    def test_a_refused_name_or_password_leaves_the_link_open(self, name, password, field):
        User.objects.create_user("Ann")
        token = people.make_entry_link("helper", now=NOON)
        with pytest.raises(BadValue) as refusal:
            people.use_entry_link(token, name=name, password=password, now=NOON)
        assert refusal.value.field == field
        assert people.entry_link_open(token, now=NOON) is not None
        assert list(User.objects.values_list("username", flat=True)) == ["Ann"]

    def test_only_a_hash_of_the_token_is_kept(self):
        token = people.make_entry_link("owner")
        assert len(token) == 43
        assert token not in str(list(EntryLink.objects.values_list()))

    def test_a_role_that_does_not_exist(self):
        with pytest.raises(BadValue) as refusal:
            people.make_entry_link("king")
        assert refusal.value.field == "role"

    def test_a_user_shut_out_has_no_role(self):
        user = people.use_entry_link(
            people.make_entry_link("owner"), name="Mika", password="pine on the wall"
        )
        assert people.role_of(AnonymousUser()) == ""
        user.is_active = False
        user.save()
        assert people.role_of(user) == ""
        assert people.owner_exists() is False
        assert Person.objects.get().role == "owner"


@pytest.mark.django_db
class TestPairing:
    def test_a_code_works_once(self):
        code = people.make_pairing_code("Ann's phone", "helper", now=NOON)
        assert len(code) == 9
        assert code[4] == "-"
        assert set(code.replace("-", "")) <= set("23456789ABCDEFGHJKMNPQRSTUVWXYZ")
        device, token = people.pair(f" {code.lower().replace('-', ' ')} ", who="a", now=NOON)
        assert (device.name, device.role, len(token)) == ("Ann's phone", "helper", 43)
        assert people.device_for(token, now=NOON) == device
        with pytest.raises(Refused) as refusal:
            people.pair(code, who="b", now=NOON)
        assert refusal.value.code == "wrong_code"
        assert Device.objects.count() == 1

    def test_a_code_lives_ten_minutes(self):
        code = people.make_pairing_code("Ann", "helper", now=NOON)
        with pytest.raises(Refused):
            people.pair(code, who="a", now=NOON + timedelta(minutes=10))
        late = people.pair(code, who="a", now=NOON + timedelta(minutes=9, seconds=59))
        assert late[0].name == "Ann"

    def test_nothing_kept_gives_a_code_or_token_away(self):
        code = people.make_pairing_code("Ann", "helper")
        kept = str(list(PairingCode.objects.values_list()))
        _, token = people.pair(code, who="a")
        kept += str(list(PairingCode.objects.values_list())) + str(list(Device.objects.values_list()))
        assert code.replace("-", "") not in kept
        assert token not in kept

    def test_ten_thousand_guesses_never_succeed_and_kill_the_code(self):
        """Each guess from another address, so that only the code's own count stands in the way."""
        code = people.make_pairing_code("Ann", "owner", now=NOON)
        letters = people.CODE_LETTERS
        seen = {"wrong_code": 0, "slow_down": 0}
        for number in range(10_000):
            guess = "".join(letters[number // 31**place % 31] for place in range(8))
            with pytest.raises((Refused, SlowDown)) as refusal:
                people.pair(guess, who=f"10.0.{number // 256}.{number % 256}", now=NOON)
            seen[refusal.value.code] += 1
        assert seen == {"wrong_code": 1000, "slow_down": 9000}
        assert PairingCode.objects.get().tries == 10
        WrongTry.objects.all().delete()
        with pytest.raises(Refused):  # the right one, but too late
            people.pair(code, who="the owner", now=NOON)
        assert Device.objects.count() == 0

    def test_nine_wrong_guesses_leave_the_code_alive_and_ten_do_not(self):
        for wrong, alive in ((9, True), (10, False)):
            PairingCode.objects.all().delete()
            code = people.make_pairing_code("Ann", "helper", now=NOON)
            for number in range(wrong):
                with pytest.raises(Refused):
                    people.pair("22222222", who=f"{wrong} {number}", now=NOON)
            if alive:
                assert people.pair(code, who="x", now=NOON)[0].name == "Ann"
            else:
                with pytest.raises(Refused):
                    people.pair(code, who="x", now=NOON)

    def test_two_phones_pair_side_by_side(self):
        codes = [people.make_pairing_code(name, "helper", now=NOON) for name in ("One", "Two")]
        names = [people.pair(code, who="a", now=NOON)[0].name for code in codes]
        assert names == ["One", "Two"]
        assert [code.tries for code in PairingCode.objects.order_by("pk")] == [1, 1]

    @pytest.mark.parametrize("code", ["", "7KQ4-M2X", "7KQ4-M2XDD", "0KQ4-M2XD", "7KQ4_M2XD", "7KQ4-M2XÄ"])
    def test_what_is_no_code_costs_no_try(self, code):
        people.make_pairing_code("Ann", "helper")
        with pytest.raises(BadValue) as refusal:
            people.pair(code, who="a")
        assert refusal.value.field == "code"
        assert PairingCode.objects.get().tries == 0
        assert WrongTry.objects.count() == 0

    def test_names_stay_apart(self):
        names = [people.pair(people.make_pairing_code("Ann", "helper"), who="a")[0].name for _ in range(3)]
        assert names == ["Ann", "Ann 2", "Ann 3"]

    def test_the_phone_names_itself_when_the_code_does_not(self):
        pair, make = people.pair, people.make_pairing_code
        assert pair(make("", "helper"), who="a", name="Potting bench")[0].name == "Potting bench"
        assert pair(make("Shed", "helper"), who="a", name="Other")[0].name == "Shed"
        assert pair(make("", "helper"), who="a")[0].name == "Phone"
        assert pair(make("", "helper"), who="a", name="\x07 \ud800 ")[0].name == "Phone 2"
        assert pair(make("", "helper"), who="a", name="A\x00B" + "x" * 99)[0].name == "A B" + "x" * 57


@pytest.mark.django_db
class TestPhones:
    def _phone(self, name="Ann"):
        return people.pair(people.make_pairing_code(name, "helper", now=NOON), who="a", now=NOON)

    def test_a_revoked_phone_is_no_phone(self):
        device, token = self._phone()
        people.revoke(device, now=NOON)
        assert device.revoked_at == NOON
        assert device.is_authenticated is False
        assert people.device_for(token, now=NOON) is None
        people.revoke(device, now=NOON + timedelta(days=1))
        assert device.revoked_at == NOON

    def test_a_wrong_token(self):
        self._phone()
        assert people.device_for("x" * 43) is None

    def test_seen_is_written_every_five_minutes_and_not_oftener(self, django_assert_num_queries):
        _, token = self._phone()
        with django_assert_num_queries(1):
            people.device_for(token, now=NOON + timedelta(minutes=5))
        with django_assert_num_queries(2):
            people.device_for(token, now=NOON + timedelta(minutes=6))
        assert Device.objects.get().seen_at == NOON + timedelta(minutes=6)

    def test_rename(self):
        device, _ = self._phone("Ann")
        self._phone("Bo")
        people.rename(device, "  Field   phone ")
        assert Device.objects.get(pk=device.pk).name == "Field phone"
        with pytest.raises(BadValue) as refusal:
            people.rename(device, "Bo")
        assert refusal.value.field == "name"


@pytest.mark.django_db
class TestThrottle:
    def test_waits_double_after_five_wrong_tries(self):
        waits, now = [], NOON
        for _ in range(5):
            people.throttle("sign_in", "ann", "10.0.0.1", now=now)
        for _ in range(10):
            with pytest.raises(SlowDown) as refusal:
                people.throttle("sign_in", "ann", "10.0.0.1", now=now)
            waits.append(refusal.value.retry_after)
            now += timedelta(seconds=refusal.value.retry_after)
            people.throttle("sign_in", "ann", "10.0.0.1", now=now)
        assert waits == [2, 4, 8, 16, 32, 64, 128, 256, 300, 300]

    def test_asking_too_soon_does_not_prolong_the_wait(self):
        for _ in range(5):
            people.throttle("sign_in", "ann", now=NOON)
        for _ in range(20):
            with pytest.raises(SlowDown):
                people.throttle("sign_in", "ann", now=NOON + timedelta(seconds=1))
        people.throttle("sign_in", "ann", now=NOON + timedelta(seconds=2))

    def test_a_name_is_slowed_from_whatever_address(self):
        for number in range(5):
            people.throttle("sign_in", "ann", f"10.0.0.{number}", now=NOON)
        with pytest.raises(SlowDown):
            people.throttle("sign_in", " ANN ", "10.0.0.99", now=NOON)
        people.throttle("sign_in", "bo", "10.0.0.99", now=NOON)

    def test_a_right_one_forgets_the_wrong_ones(self):
        for _ in range(4):
            people.throttle("sign_in", "ann", now=NOON)
        people.throttle("sign_in", "ann", now=NOON).passed()
        for _ in range(5):
            people.throttle("sign_in", "ann", now=NOON)

    def test_gates_do_not_count_for_each_other(self):
        for _ in range(5):
            people.throttle("sign_in", "10.0.0.1", now=NOON)
        people.throttle("pair", "10.0.0.1", now=NOON)

    def test_old_tries_are_forgotten_and_names_never_kept(self):
        for _ in range(5):
            people.throttle("sign_in", "my password by mistake", now=NOON)
        assert "mistake" not in str(list(WrongTry.objects.values_list()))
        people.throttle("sign_in", "my password by mistake", now=NOON + timedelta(hours=1))
        assert WrongTry.objects.count() == 1


def test_the_address_behind_a_proxy_is_what_the_proxy_saw():
    meta = {"REMOTE_ADDR": "127.0.0.1", "HTTP_X_FORWARDED_FOR": "6.6.6.6, 10.0.0.7"}
    assert people.address(meta, proxied=True) == "10.0.0.7"
    assert people.address(meta, proxied=False) == "127.0.0.1"
    assert people.address({}, proxied=True) == "unknown"

"""The second step: set up, asked of whom the shop asks, taken off, sealed, and told of each time."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.contrib.auth import SESSION_KEY
from django.core.management import CommandError, call_command
from django.test import Client

from intake.models import HistoryEntry, Letter, Letterhead, Person
from intake.refusals import Refused
from shop.doors import factor, one_time, policy, sessions
from shop.models import RecoveryCode, SecondFactor
from shop.vault import keys, sealing
from tests.shop.doors.conftest import NOW, Clock
from tests.shop.doors.test_coming_in import PASSWORD, come_in, is_in, knock


def shown_code(owner: Person, clock: Clock) -> str:
    secret = factor.secret_of(SecondFactor.objects.get(person=owner))
    return one_time.code_at(secret, one_time.step_at(clock.at.timestamp()))


def subjects() -> list[str]:
    return list(Letter.objects.order_by("pk").values_list("subject", flat=True))


def test_set_up_by_the_pages(letterhead: Letterhead, owner: Person, clock: Clock) -> None:
    client, other = Client(), Client()
    knock(client), knock(other)
    assert "Your password alone lets you in" in client.get("/sign-in/mine/").content.decode()
    assert client.get("/sign-in/second/").status_code == 200
    assert not SecondFactor.objects.exists(), "looking begins nothing"
    assert client.post("/sign-in/second/begin/").url == "/sign-in/second/"
    page = client.get("/sign-in/second/").content.decode()
    secret = factor.secret_of(SecondFactor.objects.get())
    assert one_time.in_fours(secret) in page
    assert 'src="data:image/svg+xml;base64,' in page
    assert client.post("/sign-in/second/", {"code": "000000"}).status_code == 422
    assert factor.confirmed(owner) is None
    answer = client.post("/sign-in/second/", {"code": shown_code(owner, clock)})
    page = answer.content.decode()
    assert "no-store" in answer.headers["Cache-Control"]
    assert page.count("<li><b>") == 10
    assert factor.confirmed(owner) is not None
    assert is_in(client)
    assert not is_in(other), "sign-ins without the second step have ended"
    assert "10 recovery codes are left" in client.get("/sign-in/mine/").content.decode()
    assert subjects()[-1] == "Your sign-in has a second step now"


def test_secret_and_list_lie_nowhere_in_the_clear(phone: Callable[[], str], owner: Person) -> None:
    row = SecondFactor.objects.get()
    secret = factor.secret_of(row)
    assert secret.encode() not in bytes(row.sealed) and len(secret) * 5 == 160
    texts = [*Letter.objects.values_list("text", flat=True), *map(str, RecoveryCode.objects.values())]
    texts += map(str, HistoryEntry.objects.values())
    for line in owner.list_lines:
        letters = line.split("-", 1)[1]
        assert not [
            text for text in texts if letters in text or letters.replace("-", "") in text or secret in text
        ]


def test_secret_of_one_person_does_not_open_as_anothers(
    phone: Callable[[], str], owner: Person, technician: Person
) -> None:
    row = SecondFactor.objects.get()
    SecondFactor.objects.create(
        person=technician, key_name=row.key_name, sealed=bytes(row.sealed), made_at=NOW, confirmed_at=NOW
    )
    with pytest.raises(Refused):
        factor.secret_of(technician.second_factor)


def test_one_in_use_is_not_replaced_by_beginning_again(
    phone: Callable[[], str], owner: Person, clock: Clock
) -> None:
    before = bytes(SecondFactor.objects.get().sealed)
    client = Client()
    come_in(client, phone)
    client.post("/sign-in/second/begin/")
    assert bytes(SecondFactor.objects.get().sealed) == before


def test_new_list_replaces_the_old(phone: Callable[[], str], owner: Person, clock: Clock) -> None:
    client = Client()
    come_in(client, phone)
    page = client.post("/sign-in/second/list/").content.decode()
    assert page.count("<li><b>") == 10
    assert RecoveryCode.objects.count() == 10
    assert not factor.pass_recovery(person=owner, typed=owner.list_lines[0], at=clock.at)
    assert subjects()[-1] == "A new list of recovery codes was made"


def test_own_second_step_taken_off(phone: Callable[[], str], owner: Person, clock: Clock) -> None:
    client, other = Client(), Client()
    come_in(client, phone)
    clock.on(minutes=1)
    come_in(other, phone)
    assert client.post("/sign-in/second/off/").url == "/sign-in/mine/"
    assert is_in(client) and not is_in(other)
    assert not SecondFactor.objects.exists() and not RecoveryCode.objects.exists()
    assert knock(Client()).url == "/bench/"


def test_owner_takes_a_colleagues_off_and_a_technician_cannot(
    letterhead: Letterhead, owner: Person, technician: Person, clock: Clock
) -> None:
    factor.begin(person=technician, by=technician, at=clock.at)
    factor.confirm(person=technician, typed=shown_code(technician, clock), by=technician, at=clock.at)
    path = f"/settings/people/{technician.pk}/second-off/"
    theirs = Client()
    theirs.force_login(technician)
    assert theirs.post(path).status_code == 403
    client = Client()
    knock(client)
    assert client.post(path).status_code == 303
    assert not SecondFactor.objects.exists()
    letter = Letter.objects.filter(to=technician.email).latest("pk")
    assert "done by wilma" in letter.text
    assert HistoryEntry.objects.filter(what="second step taken off", who="wilma").count() == 1


def test_command_opens_the_door_of_an_owner_who_lost_everything(
    phone: Callable[[], str], owner: Person, capsys: pytest.CaptureFixture[str]
) -> None:
    client = Client()
    come_in(client, phone)
    call_command("open_door", "wilma")
    assert "signs in with the password alone now" in capsys.readouterr().out
    assert not is_in(client)
    assert HistoryEntry.objects.get(what="second step taken off").who == "server"
    call_command("open_door", "wilma")
    assert "Nothing was changed" in capsys.readouterr().out
    with pytest.raises(CommandError):
        call_command("open_door", "nobody")


def test_rotation_seals_second_steps_again(
    phone: Callable[[], str], owner: Person, tmp_path, settings
) -> None:
    old = keys.keys()
    settings.CODE_KEYS = sealing.written({"n": b"\x01" * 32, **old})
    secret = factor.secret_of(SecondFactor.objects.get())
    call_command("rotate_code_keys")
    row = SecondFactor.objects.get()
    assert row.key_name == "n"
    settings.CODE_KEYS = sealing.written({"n": b"\x01" * 32})
    assert factor.secret_of(row) == secret


def test_key_that_only_a_second_step_needs_is_not_dropped(phone: Callable[[], str]) -> None:
    assert factor.names_in_use() == {next(iter(keys.keys()))}


@pytest.mark.parametrize(
    ("asked", "role", "led"),
    [
        ("owner", "owner", True), ("owner", "technician", False), ("all", "technician", True),
        ("all", "owner", True), ("off", "owner", False),
    ],
)  # fmt: skip
def test_whoever_the_shop_asks_is_led_to_setting_up(
    settings: SimpleNamespace, letterhead: Letterhead, owner: Person, asked: str, role: str, led: bool
) -> None:
    settings.TWO_FACTOR, owner.role = asked, role
    owner.save()
    client = Client()
    assert knock(client).url == "/bench/"
    answer = client.get("/bench/")
    assert (answer.status_code, is_in(client)) == ((302, False) if led else (200, True))
    assert not led or answer.url == "/sign-in/second/?next=%2Fbench%2F"


def test_no_page_opens_to_who_owes_a_second_step(
    settings: SimpleNamespace, letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    settings.TWO_FACTOR = "owner"
    client = Client()
    knock(client)
    for path in ("/bench/", "/settings/", "/books/", "/letters/", "/photo/1/", "/paper/1/", "/sign-in/mine/"):
        answer = client.get(path)
        assert (answer.status_code, answer.url.split("?")[0]) == (302, "/sign-in/second/"), path
    answer = client.post("/sheet/ACDE-FHJK/write/", {"text": "kept"})
    assert answer.url == "/sign-in/second/?next=%2Fkept%2F"
    client.post("/sign-in/second/begin/")
    answer = client.post("/sign-in/second/", {"code": shown_code(owner, clock)})
    assert answer.status_code == 200
    assert is_in(client)


def test_setting_up_may_be_put_off_for_seven_days_in_all(
    settings: SimpleNamespace, letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    settings.TWO_FACTOR = "owner"
    client = Client()
    knock(client)
    assert "Put it off" in client.get("/sign-in/second/").content.decode()
    assert client.post("/sign-in/second/later/", {"next": "/receiving/"}).url == "/receiving/"
    assert is_in(client)
    clock.on(days=6, hours=23)
    late = Client()
    knock(late)
    assert not is_in(late)
    late.post("/sign-in/second/later/")
    assert is_in(late)
    clock.on(hours=2)
    assert not is_in(late)
    late.post("/sign-in/again/", {"password": PASSWORD})
    page = late.get("/sign-in/second/").content.decode()
    assert "Put it off" not in page and "has to be set up" in page
    assert late.post("/sign-in/second/later/").url == "/sign-in/second/"
    assert not is_in(late)
    assert policy.may_wait_until(owner) == NOW + dt.timedelta(days=7)


def test_putting_off_leads_to_no_other_house(
    settings: SimpleNamespace, letterhead: Letterhead, owner: Person
) -> None:
    settings.TWO_FACTOR = "owner"
    client = Client()
    knock(client)
    assert client.post("/sign-in/second/later/", {"next": "https://elsewhere.example/"}).url == "/bench/"


def test_who_owes_a_second_step_can_sign_out(
    settings: SimpleNamespace, letterhead: Letterhead, owner: Person
) -> None:
    settings.TWO_FACTOR = "owner"
    client = Client()
    knock(client)
    client.post("/sign-out/")
    assert SESSION_KEY not in client.session
    assert sessions.WITH_CODE not in client.session


def test_password_is_asked_again_of_who_owes_without_going_round(
    settings: SimpleNamespace, letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    settings.TWO_FACTOR = "owner"
    client = Client()
    knock(client)
    clock.on(minutes=11)
    answer = client.get("/sign-in/second/")
    assert answer.url == "/sign-in/again/?next=%2Fsign-in%2Fsecond%2F"
    answer = client.post(answer.url, {"password": "bench-light-on"})
    assert answer.url == "/sign-in/second/"
    assert client.get(answer.url).status_code == 200

"""How long a sign-in lasts, what ends it, and the pages of one's own door."""

from types import SimpleNamespace

import pytest
from django.http import HttpResponse
from django.test import Client

from intake import staffing
from intake.models import HistoryEntry, Letter, Letterhead, Person
from shop.doors import fresh, sessions
from shop.models import KnownBrowser, SignInTry
from tests.shop.doors.conftest import Clock
from tests.shop.doors.test_coming_in import PASSWORD, is_in, knock

NEW = "solder-flux-and-wick"


def signed_in(clock: Clock, name: str = "wilma") -> Client:
    client = Client()
    assert knock(client, name).status_code == 303
    return client


def test_sign_in_ends_after_twelve_hours_without_use(
    letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    client = signed_in(clock)
    clock.on(hours=11, minutes=59)
    assert is_in(client)
    clock.on(hours=11, minutes=59)
    assert is_in(client)
    clock.on(hours=12, seconds=1)
    assert not is_in(client)


def test_sign_in_ends_after_seven_days_of_use(letterhead: Letterhead, owner: Person, clock: Clock) -> None:
    client = signed_in(clock)
    for _ in range(14):
        clock.on(hours=11, minutes=59)
        assert is_in(client)
    clock.on(hours=1)
    assert not is_in(client)


def test_words_sent_after_the_end_are_kept(letterhead: Letterhead, owner: Person, clock: Clock) -> None:
    client = signed_in(clock)
    clock.on(hours=13)
    assert client.post("/sheet/ACDE-FHJK/write/", {"text": "words"}).url == "/sign-in/?next=%2Fkept%2F"
    assert knock(client).status_code == 303
    assert "words" in client.get("/kept/").content.decode()


@pytest.mark.parametrize("kept", ["x", None, [], 1e30])
def test_session_that_holds_nonsense_is_over(kept: object, clock: Clock) -> None:
    assert sessions.is_over({sessions.CAME_IN_AT: kept}, clock.at) is (kept != 1e30)


def test_person_let_go_is_out_at_once_and_does_not_come_back_with_the_old_sign_in(
    letterhead: Letterhead, owner: Person, technician: Person, clock: Clock
) -> None:
    client = signed_in(clock, "tarn")
    staffing.set_active(person=technician, active=False, by=owner, at=clock.at)
    assert not is_in(client)
    second = signed_in(clock)
    assert is_in(second)
    staffing.set_active(person=technician, active=True, by=owner, at=clock.at)
    assert not is_in(client)


def test_own_password_changed_ends_the_others(letterhead: Letterhead, owner: Person, clock: Clock) -> None:
    client, other = signed_in(clock), signed_in(clock)
    answer = client.post("/sign-in/mine/password/", {"old_password": PASSWORD, "password": NEW})
    assert answer.url == "/sign-in/mine/"
    assert is_in(client) and not is_in(other)
    assert knock(Client()).status_code == 422
    assert knock(Client(), password=NEW).status_code == 303
    letter = Letter.objects.filter(subject="Your password was changed").get()
    assert NEW not in letter.text
    assert HistoryEntry.objects.filter(what="own password changed", who="wilma").count() == 1


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("wrong", NEW, "That is not your password"), (PASSWORD, "short-one", "at least 12 characters"),
        (PASSWORD, "q1w2e3r4t5y6", "too common"), (PASSWORD, "wilma.owner@example.com", "too similar"),
        (PASSWORD, "", "Type the new password"), ("", NEW, "Type the password you have now"),
    ],
)  # fmt: skip
def test_own_password_refused_keeps_the_old(
    letterhead: Letterhead, owner: Person, clock: Clock, old: str, new: str, said: str
) -> None:
    client = signed_in(clock)
    answer = client.post("/sign-in/mine/password/", {"old_password": old, "password": new})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert knock(Client()).status_code == 303


def test_long_password_with_blanks_works_as_it_was_typed(
    letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    new = "  a few words in a row, and a ü " * 6
    signed_in(clock).post("/sign-in/mine/password/", {"old_password": PASSWORD, "password": new})
    assert knock(Client(), password=new).status_code == 303


def test_own_password_is_not_kept_with_a_post_whose_sign_in_had_ended(
    letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    client = signed_in(clock)
    form = client.get("/sign-in/mine/password/").context["form"]
    clock.on(hours=13)
    client.post("/sign-in/mine/password/", dict.fromkeys(form.fields, PASSWORD))
    assert PASSWORD not in str(dict(client.session.items()))


def test_guessing_the_old_password_is_counted(letterhead: Letterhead, owner: Person, clock: Clock) -> None:
    client = signed_in(clock)
    for _ in range(10):
        client.post("/sign-in/mine/password/", {"old_password": "guess", "password": NEW})
    answer = client.post("/sign-in/mine/password/", {"old_password": PASSWORD, "password": NEW})
    assert answer.status_code == 429
    assert "Please wait until" in answer.content.decode()


def test_other_sign_ins_ended(letterhead: Letterhead, owner: Person, clock: Clock) -> None:
    client, other = signed_in(clock), signed_in(clock)
    assert client.post("/sign-in/mine/others/").url == "/sign-in/mine/"
    assert is_in(client) and not is_in(other)
    assert KnownBrowser.objects.filter(ended_at=None).count() == 1
    page = client.get("/sign-in/mine/").content.decode()
    assert "This browser" in page and "Another browser" not in page


def test_people_ask_for_the_password_again_after_ten_minutes(
    letterhead: Letterhead, owner: Person, technician: Person, clock: Clock
) -> None:
    client = signed_in(clock)
    path = f"/settings/people/{technician.pk}/leave/"
    clock.on(minutes=10, seconds=1)
    answer = client.post(path, {"active": "no"})
    assert answer.url == "/sign-in/again/?next=%2Fkept%2F"
    technician.refresh_from_db()
    assert technician.is_active
    assert client.post(answer.url, {"password": "wrong"}).status_code == 422
    assert client.post(answer.url, {"password": PASSWORD}).url == "/kept/"
    assert f'action="{path}"' in client.get("/kept/").content.decode()
    client.post(path, {"active": "no"})
    technician.refresh_from_db()
    assert not technician.is_active


@pytest.mark.parametrize("kept", [None, "now", -5.0, 9e18])
def test_session_that_says_nothing_sound_is_not_fresh(kept: object, clock: Clock) -> None:
    request = SimpleNamespace(session={fresh.PROVED_AT: kept} if kept else {}, method="GET")
    request.get_full_path = lambda: "/x/"
    assert fresh.fresh_only(lambda _: HttpResponse("done"))(request).status_code == 303


def test_password_asked_again_leads_to_no_other_house(
    letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    client = signed_in(clock)
    answer = client.post("/sign-in/again/", {"password": PASSWORD, "next": "//elsewhere.example/"})
    assert answer.url == "/bench/"


def test_right_password_again_leaves_no_try_and_a_wrong_one_does(
    letterhead: Letterhead, owner: Person, clock: Clock
) -> None:
    client = signed_in(clock)
    before = SignInTry.objects.count()
    client.post("/sign-in/again/", {"password": PASSWORD})
    assert SignInTry.objects.count() == before
    client.post("/sign-in/again/", {"password": "wrong"})
    assert SignInTry.objects.latest("pk").result == SignInTry.Result.WRONG


def test_who_came_in_shows_the_owner_every_try(
    letterhead: Letterhead, owner: Person, technician: Person, clock: Clock
) -> None:
    for number in range(20):
        knock(Client(REMOTE_ADDR=f"192.0.2.{number % 2}"), "somebody", "x")
    knock(Client(), "tarn", "wrong")
    page = signed_in(clock).get("/settings/came-in/").content.decode()
    assert "a name nobody has here" in page and "Came in" in page and "<td>tarn</td>" in page
    assert "21 wrong tries in the last hour" in page
    only = signed_in(clock).get("/settings/came-in/?only=wrong").content.decode()
    assert "<td>Came in" not in only and "Wrong name or password" in only
    assert "192.0.2." not in page and "somebody" not in page.lower().replace("somebody may", "")


def test_who_came_in_goes_page_by_page(letterhead: Letterhead, owner: Person, clock: Clock) -> None:
    client = signed_in(clock)
    for _ in range(55):
        client.post("/sign-in/again/", {"password": "wrong"})
    assert "Next page" in client.get("/settings/came-in/").content.decode()
    assert client.get("/settings/came-in/?page=9999").status_code == 200


def test_who_came_in_is_the_owners(
    letterhead: Letterhead, owner: Person, technician: Person, clock: Clock
) -> None:
    assert signed_in(clock, "tarn").get("/settings/came-in/").status_code == 403
    assert signed_in(clock, "tarn").get("/sign-in/mine/").status_code == 200

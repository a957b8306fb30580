"""Codes given, shown with a reason, erased; what the customer sees of it; keys that change."""

import datetime as dt
from types import SimpleNamespace

import pytest
from django.core.management import call_command
from django.test import Client

from intake.lifecycle import CUSTOMER
from intake.models import HistoryEntry, Order
from intake.refusals import Refused
from intake.stations import Station
from shop import clock
from shop.models import CodeShowing, UnlockCode
from shop.vault import keys
from shop.vault import unlocking as codes
from tests import walk
from tests.window_pages import let_in, page_of, said

MARK = "94737251"


@pytest.fixture(autouse=True)
def _own_keys(settings, tmp_path) -> None:
    settings.DATA, settings.CODE_KEYS = tmp_path, ""


@pytest.fixture
def order(bench: SimpleNamespace, at: dt.datetime) -> Order:
    return walk.to(walk.request(at=at), Station.DIAGNOSIS, by=bench.technician, at=at)


def give(order: Order, at: dt.datetime, code: str = MARK) -> UnlockCode:
    return codes.give(order=order, shape="digits", code=code, by=CUSTOMER, at=at)


def test_code_shown_writes_who_and_why(order, bench, at) -> None:
    give(order, at)
    shown = codes.show(order=order, reason="The touch test", by=bench.technician, at=at)
    assert (shown.code, shown.until) == (MARK, at + dt.timedelta(seconds=60))
    assert list(CodeShowing.objects.values_list("reason", "by__username")) == [("The touch test", "pim")]
    entry = HistoryEntry.objects.get(what="code shown")
    assert (entry.who, entry.facts) == ("pim", {"reason": "The touch test"})


@pytest.mark.parametrize("reason", ["", "  ", f"it is {MARK}"])
def test_code_without_a_good_reason_is_not_shown(order, bench, at, reason: str) -> None:
    give(order, at)
    with pytest.raises(Refused):
        codes.show(order=order, reason=reason, by=bench.technician, at=at)
    assert not CodeShowing.objects.exists()


@pytest.mark.parametrize(
    ("shape", "code"),
    [("digits", "12a4"), ("digits", "12"), ("pattern", "1290"), ("pattern", "123"), ("word", ""), ("word", "a\x00b"),
     ("word", "x" * 101), ("star", "1234"), ("digits", "١٢٣٤")],
)  # fmt: skip
def test_code_of_a_wrong_shape_is_refused(order, at, shape: str, code: str) -> None:
    with pytest.raises(Refused):
        codes.give(order=order, shape=shape, code=code, by=CUSTOMER, at=at)
    assert codes.held(order) is None


def test_second_code_erases_the_first(order, bench, at) -> None:
    first = give(order, at)
    give(order, at, "111222")
    first.refresh_from_db()
    assert (bytes(first.sealed), bool(first.erased_at)) == (b"", True)
    assert codes.show(order=order, reason="touch", by=bench.technician, at=at).code == "111222"


def test_code_is_erased_when_the_device_goes_to_the_post(order, bench, at) -> None:
    give(order, at)
    walk.to(order, Station.WAY_HOME, by=bench.technician, at=at)
    row = UnlockCode.objects.get()
    assert (bytes(row.sealed), row.erased_why) == (b"", "The device was posted home")
    with pytest.raises(Refused):
        codes.show(order=order, reason="touch", by=bench.technician, at=at)
    with pytest.raises(Refused):
        give(order, at)


def test_clock_erases_what_an_end_forgot(order, at) -> None:
    give(order, at)
    assert clock.tick(at=at)["codes"] == 0
    Order.objects.filter(pk=order.pk).update(sent_at=at)
    assert clock.tick(at=at)["codes"] == 1
    assert codes.held(order) is None


def test_customer_gives_sees_each_look_and_erases(order, bench, at, client: Client) -> None:
    let_in(order, client)
    answer = client.post(f"/your/{order.code}/unlock-code/", {"shape": "digits", "unlock_code": MARK})
    assert answer.status_code == 303
    codes.show(order=order, reason="The touch test", by=bench.technician, at=at)
    page = page_of(order, client)
    assert "The touch test" in page
    assert "PD" in said(page)
    assert MARK not in page
    client.post(f"/your/{order.code}/unlock-code/erase/")
    assert UnlockCode.objects.get().erased_why == "The customer erased it"
    assert "Your code was erased" in page_of(order, client)


def test_refused_code_does_not_come_back_on_the_page(order, client: Client) -> None:
    let_in(order, client)
    answer = client.post(f"/your/{order.code}/unlock-code/", {"shape": "digits", "unlock_code": "94x37251"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "3 to 16 of them" in page
    assert "94x37251" not in page


def test_stranger_cannot_give_or_erase(order, at) -> None:
    give(order, at)
    for path in ("unlock-code/", "unlock-code/erase/"):
        assert (
            Client().post(f"/your/{order.code}/{path}", {"shape": "digits", "unlock_code": "1"}).status_code
            == 404
        )
    for path in ("unlock-code/", "unlock-code/show/", "unlock-code/erase/"):
        assert Client().post(f"/sheet/{order.code}/{path}", {"reason": "x"}).status_code == 302
    assert codes.held(order) is not None
    assert not CodeShowing.objects.exists()


def test_staff_see_it_for_a_minute_on_a_page_nobody_keeps(order, bench, at, client: Client) -> None:
    give(order, at)
    client.force_login(bench.technician)
    assert MARK not in client.get(f"/sheet/{order.code}/").content.decode()
    answer = client.post(f"/sheet/{order.code}/unlock-code/show/", {"reason": "The touch test"})
    assert answer.status_code == 200
    assert MARK in answer.content.decode()
    assert answer["Cache-Control"] == "no-store"
    assert answer["Refresh"].startswith("60; url=/sheet/")
    assert client.get(f"/sheet/{order.code}/unlock-code/show/").status_code == 405


def test_staff_seal_what_they_were_told(order, bench, client: Client) -> None:
    client.force_login(bench.technician)
    answer = client.post(
        f"/sheet/{order.code}/unlock-code/", {"shape": "pattern", "unlock_code": "1 2 3 6 9"}
    )
    assert answer.status_code == 303
    assert codes.held(order).given_by == "pim"


def test_post_kept_over_a_sign_in_holds_no_code(order, client: Client) -> None:
    client.post(f"/sheet/{order.code}/unlock-code/", {"shape": "digits", "unlock_code": MARK})
    assert MARK not in str(dict(client.session))
    assert "unlock_code" not in str(dict(client.session))


def test_rotation_seals_again_and_drops_the_old_key(order, bench, at, capsys) -> None:
    row = give(order, at)
    old = keys.keys()
    [first] = old
    call_command("rotate_code_keys")
    [second] = keys.keys()
    assert (first[:3], second[:3]) == ("k1-", "k2-")
    assert capsys.readouterr().out.splitlines() == [f"1 code sealed under {second}.", f"Dropped: {first}."]
    assert codes.show(order=order, reason="touch", by=bench.technician, at=at).code == MARK
    stolen = bytes(row.sealed)
    with pytest.raises(codes.sealing.CannotOpen):
        codes.sealing.unseal(stolen, key_name=first, order_code=order.code, keys=keys.keys())
    assert codes.sealing.unseal(stolen, key_name=first, order_code=order.code, keys=old) == MARK


def test_keys_of_the_surroundings_are_not_changed_by_the_command(order, bench, at, settings, capsys) -> None:
    give(order, at)
    new = {"n": b"\x01" * 32, **keys.keys()}
    settings.CODE_KEYS = codes.sealing.written(new)
    call_command("rotate_code_keys")
    assert capsys.readouterr().out == "1 code sealed under n.\n"
    assert codes.show(order=order, reason="touch", by=bench.technician, at=at).code == MARK


def test_lost_key_is_said_in_a_sentence(order, bench, at, tmp_path) -> None:
    give(order, at)
    place = tmp_path / "code.keys"
    kept = place.read_text()
    place.unlink()
    keys.keys()
    with pytest.raises(Refused, match="k1-[0-9a-f]{8} is not here any more"):
        codes.show(order=order, reason="touch", by=bench.technician, at=at)
    place.write_text(place.read_text() + kept)
    assert codes.show(order=order, reason="touch", by=bench.technician, at=at).code == MARK


def test_spoiled_key_file_is_no_server_error(order, client: Client, tmp_path) -> None:
    (tmp_path / "code.keys").write_text("nonsense")
    let_in(order, client)
    answer = client.post(f"/your/{order.code}/unlock-code/", {"shape": "digits", "unlock_code": MARK})
    assert answer.status_code == 422
    assert MARK not in answer.content.decode()


def test_key_file_is_its_owners_alone(order, at, tmp_path) -> None:
    give(order, at)
    assert (tmp_path / "code.keys").stat().st_mode & 0o777 == 0o600

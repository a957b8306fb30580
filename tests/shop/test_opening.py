"""A new shop opens once, with an owner who can sign in, and refuses what cannot stand."""

from dataclasses import asdict, replace
from datetime import datetime

import pytest
from django.contrib.auth import authenticate
from django.core.management import CommandError, call_command

from intake.models import Letterhead, Person
from intake.refusals import Refused
from quotes.models import Rates
from shop.management.commands import open_shop as command
from shop.opening import NewShop, open_shop
from shop.setup.database import Newer
from tests import walk

NEW = NewShop(
    name="Fenwick Bench",
    email="bench@example.com",
    street="1 Nowhere Lane",
    city="Anytown",
    country="GB",
    currency="GBP",
    zone="Europe/London",
    username="Edda",
    full_name="Edda Netherby",
    password="solder-and-patience",
)


def test_new_shop_can_take_an_order_at_once(db: None, at: datetime) -> None:
    owner = open_shop(shop=NEW, at=at)
    assert (owner.username, owner.initials, owner.is_owner) == ("edda", "EN", True)
    assert authenticate(username="edda", password=NEW.password) == owner
    assert (Letterhead.current().version, Rates.current().version) == (1, 1)
    order = walk.request(at=at)
    assert (order.currency, order.code in walk.answers().name) == ("GBP", False)


def test_shop_opens_once(db: None, at: datetime) -> None:
    open_shop(shop=NEW, at=at)
    with pytest.raises(Refused, match="open already"):
        open_shop(shop=NEW, at=at)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("zone", "Mars/Phobos"),
        ("currency", "XYZ"),
        ("country", "ZZ"),
        ("email", "no mail"),
        ("name", " "),
        ("password", "short"),
    ],
)
def test_what_cannot_stand_is_refused_with_its_field(db: None, at: datetime, field: str, value: str) -> None:
    with pytest.raises(Refused) as refusal:
        open_shop(shop=replace(NEW, **{field: value}), at=at)
    assert refusal.value.field == field
    assert not Person.objects.exists()


def test_command_says_in_one_sentence_what_is_wrong(db: None) -> None:
    given = {name: value for name, value in vars(NEW).items() if name != "zone"}
    with pytest.raises(CommandError, match="zone: Name a time zone"):
        call_command("open_shop", zone="Nowhere", **given)


def test_command_readies_an_empty_database_first(
    db: None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    readied: list[datetime] = []
    monkeypatch.setattr(command, "missing_migrations", lambda: 1)
    monkeypatch.setattr(command, "bring_up_to_date", lambda at, say: readied.append(at))
    call_command("open_shop", **asdict(NEW))
    assert len(readied) == 1
    assert "Fenwick Bench is open." in capsys.readouterr().out


def test_command_says_that_a_newer_program_changed_the_database(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def newer(at: datetime, say: object) -> None:
        raise Newer("Start the newer version.")

    monkeypatch.setattr(command, "missing_migrations", lambda: 1)
    monkeypatch.setattr(command, "bring_up_to_date", newer)
    with pytest.raises(CommandError, match="Start the newer version"):
        call_command("open_shop", **asdict(NEW))
    assert not Person.objects.exists()

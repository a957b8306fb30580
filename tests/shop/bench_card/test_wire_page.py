"""The card of sums: asked by GET, printed as it stands, and never without its cautions."""

from decimal import Decimal as D

import pytest
from django.test import Client
from django.urls import reverse

from quotes.models import ListWord


@pytest.fixture
def ask(technician):
    client = Client()
    client.force_login(technician)

    def get(**given):
        answer = client.get(reverse("shop:wire"), given)
        return answer.status_code, answer.content.decode()

    return get


def test_the_card_alone_shows_the_wires_and_the_caution(ask):
    status, page = ask()
    assert status == 200
    assert "A wire never bridges a fuse." in page
    assert "2.2 Ω" in page
    assert "Warmer in the middle" not in page


@pytest.mark.parametrize("size", ["0.1", "0,1 mm", "0.10mm"])
def test_a_wire_is_worked_out(ask, size):
    status, page = ask(size=size, length="12", amps="60 mA", ambient="20")
    assert status == 200
    assert "26.3 mΩ" in page
    assert "1.58 mV" in page
    assert "2.53 A" in page
    assert "Estimate." in page
    assert "A wire never bridges a fuse." in page


@pytest.mark.parametrize("size", ["AWG 38", "38 awg", "awg38"])
def test_a_gauge_is_read(ask, size):
    assert "2.16 Ω a metre" in ask(size=size, length="12", amps=".06", ambient="20")[1]


def test_a_wire_that_melts_is_said(ask):
    assert "melts at this current" in ask(size="0.05", length="12", amps="2")[1]


@pytest.mark.parametrize(
    ("given_", "words"),
    [
        ({"size": "thin"}, "Write a diameter in millimetres"),
        ({"size": "9"}, "between 0.005 and 3 mm"),
        ({"length": "."}, "Write a length in millimetres"),
        ({"amps": "much"}, "is not a number here"),
        ({"amps": "3V"}, "is not a number here"),
        ({"length": ""}, "Type its length as well."),
        ({"ambient": "400"}, "between -20 and 100"),
    ],
)
def test_what_makes_no_sense_stays_typed_with_a_sentence(ask, given_, words):
    status, page = ask(**{"size": "0.1", "length": "12", "amps": "0.1", **given_})
    assert status == 422
    assert words in page


def test_a_supply_above_the_rail_is_refused(ask):
    status, page = ask(rail="PP1V8", nominal="1.8", volts="3.8", limit="1")
    assert status == 200
    assert "do not feed it" in page
    assert "3.8 V is above the 1.8 V of PP1V8" in page


def test_a_supply_below_it_is_told_how_to_begin(ask):
    page = ask(rail="PP1V8", nominal="1V8", volts="1.5", limit="500m")[1]
    assert "may be fed" in page
    assert "Begin at 0.9 V with a limit of 0.5 A" in page


def test_the_list_of_points_knows_what_a_rail_carries(ask, at):
    board = ListWord.objects.create(kind="board", name="Z7 main", folded="z7main", made_at=at)
    ListWord.objects.create(
        kind="point", name="PP1V8", folded="pp1v8", within=board, nominal_volts=D("1.8"), made_at=at
    )
    assert "is above the 1.8 V of pp 1v8" in ask(rail="pp 1v8", board="z7 MAIN", volts="3", limit="1")[1]
    assert "Nobody has said what pp 1v8 carries" in ask(rail="pp 1v8", board="other", volts="3", limit="1")[1]

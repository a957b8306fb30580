"""A letter is a row of the change that causes it: once, whole, and with no way into its head."""

import pytest
from django.db import transaction
from hypothesis import given
from hypothesis import strategies as st

from intake import letters
from intake.models import Letter, Letterhead, Paper
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.request(at=at, email="")


def write(order, at, **changes):
    given = {"kind": "withdrawn", "key": "one", "to": "mara.ellwick@example.com", "context": {}, **changes}
    return letters.post(order=order, at=at, **given)


@given(text=st.text())
def test_header_value_is_one_line_whatever_is_in_it(text):
    line = letters.one_line(text)
    assert len(line) <= 200
    assert line.splitlines() in ([], [line])


@pytest.mark.parametrize("text", ["a\r\nBcc: all@example.com", "a\nb", "a\u2028b", "a\x00b", "a\x7fb"])
def test_line_break_cannot_enter_a_header(text):
    assert len(letters.one_line(text).splitlines()) == 1
    assert "\x00" not in letters.one_line(text)


def test_same_key_writes_one_letter(order, at):
    assert write(order, at) == write(order, at)
    assert Letter.objects.count() == 1


def test_customer_without_an_address_gets_no_letter(order, at):
    assert write(order, at, to="") is None
    assert not Letter.objects.exists()


def test_letter_goes_with_its_change_or_not_at_all(order, at):
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        write(order, at)
        raise ZeroDivisionError
    assert not Letter.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_letter_outside_a_transaction_is_refused(at):
    with pytest.raises(RuntimeError, match="in the transaction"):
        write(None, at)


def test_row_holds_a_mark_where_the_link_will_be(order, at):
    letter = write(order, at)
    assert "/l/" not in letter.text + letter.html
    assert "[[link]]" in letter.text
    assert "http://localhost:8000/l/" in letters.readable(letter, "text")
    assert "[[link]]" not in letters.readable(letter, "html")


def test_each_letter_has_a_message_id_of_its_own_at_the_shops_address(order, at):
    first, second = write(order, at), write(order, at, key="two")
    assert first.message_id != second.message_id
    assert first.message_id.endswith("@localhost>")


def test_shop_name_with_a_quote_mark_stays_a_name(order, at):
    Letterhead.objects.update(name='Quill "mere"\r\nBcc: x')
    assert write(order, at).from_address == '"Quill mere Bcc: x" <bench@quillmere.example>'


def test_letter_keeps_what_the_shop_wished_when_it_was_written(order, at):
    Letterhead.objects.update(unsure_letters="hold")
    letter = write(order, at)
    Letterhead.objects.update(unsure_letters="resend")
    letter.refresh_from_db()
    assert letter.unsure == "hold"


def test_paper_of_the_same_row_is_the_same_paper(order, at):
    given = {"order": order, "maker": "bag_label", "ref": 7, "title": "T", "file_name": "t.pdf", "at": at}
    assert letters.paper(**given) == letters.paper(**{**given, "title": "Other"})
    assert Paper.objects.get(maker="bag_label").title == "T"

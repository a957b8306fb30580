"""The last net: what no row can hold becomes a plain 400 with the typed words on it; faults of our own stay faults."""

import pytest
from django.db import DataError
from django.http import HttpResponse
from django.test import RequestFactory

from shop.hostile import HostileInputMiddleware, is_past_limits

net = HostileInputMiddleware(lambda _request: HttpResponse("unused"))


@pytest.mark.parametrize(
    "fault",
    [
        DataError("value too long"),
        OverflowError("Python int too large to convert to SQLite INTEGER"),
        UnicodeEncodeError("utf-8", "\ud800", 0, 1, "surrogates not allowed"),
        ValueError("A string literal cannot contain NUL (0x00) characters."),
    ],
)
def test_value_past_every_limit_is_answered_with_the_typed_words(fault):
    sent = {"words": "Rings but <b>nobody</b> hears me\0", "password": "secret-of-mine", "version": "9" * 30}
    answer = net.process_exception(RequestFactory().post("/x/", sent), fault)
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "Rings but &lt;b&gt;nobody&lt;/b&gt; hears me</textarea>" in page
    assert "9" * 30 in page and "secret-of-mine" not in page
    assert answer.headers["Cache-Control"] == "private, no-store"


def test_page_that_was_only_read_says_the_same_without_fields():
    answer = net.process_exception(RequestFactory().get("/x/?q=1"), OverflowError("too large"))
    assert answer.status_code == 400
    assert "textarea" not in answer.content.decode()


@pytest.mark.parametrize("fault", [ValueError("not a number"), KeyError("x"), TypeError("none of ours")])
def test_fault_of_our_own_stays_a_fault(fault):
    assert not is_past_limits(fault)
    assert net.process_exception(RequestFactory().post("/x/"), fault) is None


@pytest.mark.parametrize(
    "back", ["2026-02-30", "shop:day_sheet", "//elsewhere.example/", "https://elsewhere.example/"]
)
def test_light_leads_back_to_a_page_of_this_house_only(db, client, back):
    answer = client.post("/light/", {"back": back})
    assert (answer.status_code, answer.url) == (302, "/")

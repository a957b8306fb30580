"""What is written down: one record a line, the request it belongs to, and nothing of what people typed."""

import dataclasses
import io
import json
import logging
import logging.config

import pytest
from django.test import Client, override_settings
from django.urls import reverse

from intake.models import Order
from shop.running import logs
from tests import walk

MARK = "Planted-Word-7319"


@pytest.fixture(params=["json", "plain"])
def written(request):
    """Everything that is written while the test runs, in one of the two forms."""
    sheet = io.StringIO()
    entry = logs.logging_settings(request.param)
    before = logging.root.handlers[:], logging.root.level
    logging.config.dictConfig(entry)
    ours = [one for one in logging.root.handlers if one not in before[0]]
    for handler in ours:
        handler.setStream(sheet)
    sheet.form = request.param
    yield sheet
    logging.root.handlers[:], logging.root.level = before


def lines(sheet):
    return sheet.getvalue().splitlines()


def test_each_answer_is_one_line_with_its_mark_and_route(written, client, letterhead, owner):
    client.force_login(owner)
    answer = client.get("/bench/")
    (line,) = [one for one in lines(written) if "answered" in one]
    mark = answer["X-Request-ID"]
    assert len(mark) == 16
    if written.form == "json":
        said = json.loads(line)
        assert (said["request"], said["route"], said["status"]) == (mark, "shop:day_sheet", 200)
        assert (said["who"], said["method"]) == (f"person {owner.pk}", "GET")
        assert said["time"].endswith("Z")
        assert isinstance(said["ms"], int)
    else:
        assert f"[{mark}] shop:day_sheet answered method=GET status=200" in line


def test_mark_of_the_sender_is_not_taken(written, client, letterhead):
    answer = client.get("/", headers={"X-Request-ID": MARK})
    assert answer["X-Request-ID"] != MARK
    assert MARK not in written.getvalue()


def test_nothing_that_is_typed_into_any_field_is_written_down(written, bench, monkeypatch):
    """Every form of the request, the sign-in and the window, well and broken, with the mark in each field and path."""
    stranger = Client(raise_request_exception=False)
    fields = {name: f"{MARK} {name}" for name in dataclasses.asdict(walk.answers())} | {
        "username": MARK,
        "password": MARK,
    }
    for step in ("device", "story", "wishes", "you", "check"):
        stranger.post(f"/request/{step}/", fields)
    stranger.post(reverse("shop:sign_in"), fields)
    stranger.post(reverse("shop:lost_link"), {"email": f"{MARK}@example.com", "code": MARK})
    for path in (f"/l/{MARK}/", f"/request/resume/{MARK}/", f"/{MARK}/", f"/phone/{MARK}/"):
        stranger.get(path, {"q": MARK})

    def broken(*_, **__):
        raise ValueError(f"{MARK} is no year")

    monkeypatch.setattr("intake.views.front.render", broken)
    monkeypatch.setattr("intake.views.visit.drafting.find", broken)
    assert stranger.get("/", {"q": MARK}).status_code == 500
    assert stranger.post(f"/request/story/?{MARK}", fields).status_code == 500
    stranger.get(
        "/", headers={"Host": f"{MARK.lower()}.example.com\r\nx", "User-Agent": MARK, "Referer": MARK}
    )
    said = written.getvalue()
    assert "ValueError at" in said
    assert "front.py" in said
    assert MARK.lower() not in said.lower()


def test_path_with_a_customers_link_is_not_written_down(written, letterhead):
    logs.begin("GET")
    logging.getLogger("django.request").error("%s: %s", "Not Found", f"/l/{MARK}/")
    logging.getLogger("waitress").error("Exception while serving %s", f"/l/{MARK}/")
    logs.end()
    assert MARK not in written.getvalue()
    assert len(lines(written)) == 2


@pytest.mark.parametrize("name", ["benchpost.letters", "waitress", "celery.worker", "django.db"])
def test_line_break_begins_no_new_record(written, name):
    try:
        raise OSError("first\nsecond\r\nthird")
    except OSError:
        logging.getLogger(name).exception("one\n2026-01-01 ERROR %s", "x\r\n{}")
    assert len(lines(written)) == 1
    if written.form == "json":
        assert json.loads(lines(written)[0])["fault"].startswith("OSError: first second third at ")


def test_fault_keeps_its_places_but_no_values_of_them(written):
    secret = MARK
    try:
        int(secret)
    except ValueError:
        logging.getLogger("benchpost.test").exception("could not count")
    assert "test_logs.py" in written.getvalue()
    assert "could not count" in written.getvalue()
    assert MARK not in written.getvalue()


def test_what_machines_ask_every_second_is_not_written(written, client, db):
    client.get("/live/")
    client.get("/ready/")
    assert "answered" not in written.getvalue()


def test_page_of_a_fault_names_the_mark_of_its_line(written, letterhead, monkeypatch):
    def broken(*_, **__):
        raise ZeroDivisionError

    monkeypatch.setattr("intake.views.front.render", broken)
    answer = Client(raise_request_exception=False).get("/")
    mark = answer["X-Request-ID"]
    assert f"name this reference: {mark}" in answer.text
    assert any(mark in line and "ZeroDivisionError" in line for line in lines(written))


def test_worker_writes_in_the_same_form():
    from celery.signals import setup_logging  # noqa: PLC0415 -- only this test needs it

    from shop import celery  # noqa: PLC0415 -- as above

    assert celery.app.conf.worker_hijack_root_logger is False
    assert any("_write_as_the_pages_do" in str(one) for one in setup_logging.receivers)


# The figures for a machine that watches.

KEY = "k3y-" * 10


def parsed(client, key=KEY):
    from prometheus_client.parser import text_string_to_metric_families  # noqa: PLC0415 -- only here

    answer = client.get("/metrics", headers={"Authorization": f"Bearer {key}"})
    assert answer.status_code == 200
    found = {}
    for family in text_string_to_metric_families(answer.text):
        for sample in family.samples:
            found[(sample.name, *sorted(sample.labels.values()))] = sample.value
    return found, answer.text


@override_settings(METRICS_KEY=KEY)
def test_figures_read_back_say_what_the_rows_say(client, bench, at):
    order = walk.request(at=at)
    client.get("/")
    found, text = parsed(client)
    assert found[("benchpost_letters", "pending")] == order.letters.count() == 1
    open_now = [number for (name, *_), number in found.items() if name == "benchpost_open_orders"]
    assert sum(open_now) == Order.objects.count() == 1
    assert found[("benchpost_backup_age_seconds",)] == -1
    assert found[("benchpost_oldest_letter_seconds",)] > 0
    assert found[("benchpost_requests_total", "200", "front")] >= 1
    assert found[("benchpost_request_seconds_count", "front")] >= 1
    assert not any(word in text for word in (order.code, order.customer.name, order.customer.email))


@pytest.mark.parametrize(
    ("key", "given", "status"),
    [
        ("", f"Bearer {KEY}", 404),
        ("", "Bearer ", 404),
        (KEY, "", 401),
        (KEY, KEY, 401),
        (KEY, f"Bearer {KEY}x", 401),
        (KEY, "Bearer ä", 401),
    ],
)
def test_figures_open_to_the_key_alone(client, letterhead, key, given, status):
    with override_settings(METRICS_KEY=key):
        answer = client.get("/metrics", headers={"Authorization": given})
    assert answer.status_code == status
    assert "benchpost_" not in answer.text


@pytest.mark.parametrize("value", ["short", "a" * 40])
def test_weak_key_is_refused_in_a_sentence(value):
    from django.core.exceptions import ImproperlyConfigured  # noqa: PLC0415 -- only here

    from shop.running.key_rule import metrics_key  # noqa: PLC0415 -- only here

    with pytest.raises(ImproperlyConfigured, match="METRICS_KEY is too weak"):
        metrics_key(value)
    assert metrics_key("") == ""


def test_worker_repeats_nothing_of_a_row(written):
    """As `celery.app.trace` writes of a task that broke: a dict of what it knows, and the fault beside."""
    try:
        raise ValueError(f"Failing row contains ({MARK})")
    except ValueError as fault:
        known = {"name": "intake.tasks.deliver_letters", "id": "1", "exc": repr(fault), "args": [MARK]}
        logging.getLogger("celery.app.trace").error(
            "Task %(name)s[%(id)s] raised: %(exc)s", known, exc_info=True
        )
    [line] = lines(written)[-1:] if written.form == "json" else [written.getvalue()]
    assert "intake.tasks.deliver_letters" in line and "ValueError" in line
    assert MARK not in written.getvalue()

"""What every answer carries."""

import zoneinfo
from datetime import UTC, datetime

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory
from django.urls import ResolverMatch
from django.utils import timezone

from intake.models import Letterhead
from shop import guard

SUMMER_NOON = datetime(2026, 7, 1, 12, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _fresh_zone():
    guard.forget_zone()
    yield
    guard.forget_zone()


def answer(path: str = "/", response: HttpResponse | None = None, **kwargs: str) -> HttpResponse:
    request = RequestFactory().get(path)
    request.resolver_match = ResolverMatch(lambda: None, (), kwargs)
    return guard.ContentPolicyMiddleware(lambda _: response or HttpResponse())(request)


def test_policy_lets_in_nothing_but_ourselves():
    policy = dict(line.split(" ", 1) for line in answer()["Content-Security-Policy"].split("; "))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["form-action"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == policy["object-src"] == "'none'"
    assert "unsafe" not in str(policy) and "http" not in str(policy)


def test_policy_when_a_view_needs_another_directive_changes_only_that():
    response = HttpResponse()
    response.content_policy = {"frame-ancestors": "'self'"}
    policy = answer(response=response)["Content-Security-Policy"]
    assert "frame-ancestors 'self'" in policy
    assert policy.replace("frame-ancestors 'self'", "frame-ancestors 'none'") == guard.policy_line()


def test_permissions_are_refused_one_by_one():
    assert "camera=()" in answer()["Permissions-Policy"]


def test_customer_link_is_kept_from_caches_search_and_other_sites():
    kept = answer("/w/secret/", token="secret")
    assert kept["Referrer-Policy"] == "same-origin"
    assert kept["Cache-Control"] == "private, no-store"
    assert "noindex" in kept["X-Robots-Tag"]


def test_every_page_is_kept_out_of_stores_unless_it_says_otherwise():
    assert answer("/day/")["Cache-Control"] == "private, no-store"
    own = HttpResponse(headers={"Cache-Control": "max-age=60"})
    assert answer("/day/", own)["Cache-Control"] == "max-age=60"


def test_answer_before_a_url_was_found_still_carries_the_policy():
    request = HttpRequest()
    assert guard.ContentPolicyMiddleware(lambda _: HttpResponse(status=400))(request)[
        "Content-Security-Policy"
    ]


def shown_hour() -> int:
    hours = []

    def view(_: HttpRequest) -> HttpResponse:
        hours.append(timezone.localtime(SUMMER_NOON).hour)
        return HttpResponse()

    guard.ShopZoneMiddleware(view)(RequestFactory().get("/"))
    return hours[0]


@pytest.mark.django_db
def test_zone_before_the_shop_is_set_up_is_utc():
    assert shown_hour() == 12


def test_zone_follows_the_letterhead_and_ends_with_the_page(letterhead):
    Letterhead.objects.filter(pk=letterhead.pk).update(zone="Europe/Berlin")
    assert shown_hour() == 14
    assert timezone.get_current_timezone() == zoneinfo.ZoneInfo("UTC")


@pytest.mark.parametrize("wrong", ["Nowhere/Land", "", "../../etc/passwd"])
def test_zone_that_is_none_falls_back_to_utc(letterhead, wrong):
    Letterhead.objects.filter(pk=letterhead.pk).update(zone=wrong)
    assert shown_hour() == 12


def test_zone_is_asked_for_once_a_minute(letterhead, django_assert_num_queries, monkeypatch):
    now = [1000.0]
    monkeypatch.setattr(guard.time, "monotonic", lambda: now[0])
    with django_assert_num_queries(1):
        for _ in range(3):
            shown_hour()
    now[0] += guard.ZONE_SECONDS
    with django_assert_num_queries(1):
        shown_hour()


def test_zone_after_a_change_is_seen_at_once_when_told(letterhead):
    assert shown_hour() == 12
    Letterhead.objects.filter(pk=letterhead.pk).update(zone="Asia/Tokyo")
    assert shown_hour() == 12
    guard.forget_zone()
    assert shown_hour() == 21

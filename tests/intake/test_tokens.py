"""Links for customers: the database alone opens nothing, and a link ends when it should."""

import datetime as dt

import pytest

from intake import tokens
from intake.models import CustomerLink
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.request(at=at)


def token_of(link):
    return tokens.address_of(link).rstrip("/").rsplit("/", 1)[1]


def test_link_opens_its_order_and_the_rows_do_not_hold_its_token(order, at):
    link = CustomerLink.objects.get(order=order)
    token = token_of(link)
    assert tokens.find_link(token, at=at).order == order
    assert len(token) >= 43, "256 bits"
    assert token not in str(CustomerLink.objects.values().get())


def test_order_keeps_one_live_link(order, at):
    assert tokens.give_link(order, at=at) == tokens.give_link(order, at=at)
    assert CustomerLink.objects.count() == 1


@pytest.mark.parametrize("token", ["", "a", "a" * 43, "é" * 43])
def test_unknown_token_opens_nothing(order, at, token):
    assert tokens.find_link(token, at=at) is None


def test_link_ends_after_half_a_year_and_a_fresh_one_is_given(order, at):
    link = CustomerLink.objects.get()
    late = at + tokens.LIFE
    assert tokens.find_link(token_of(link), at=late - dt.timedelta(seconds=1)) == link
    assert tokens.find_link(token_of(link), at=late) is None
    assert tokens.give_link(order, at=late) != link


def test_revoked_link_is_dead_and_the_next_letter_has_another(order, at):
    link = CustomerLink.objects.get()
    assert tokens.revoke_links(order, at=at) == 1
    assert tokens.find_link(token_of(link), at=at) is None
    assert tokens.live_link(link.pk, at=at) is None
    assert tokens.give_link(order, at=at) != link


def test_new_secret_key_ends_old_links_unless_the_old_key_is_kept(order, at, settings):
    link, old = CustomerLink.objects.get(), settings.SECRET_KEY
    address = tokens.address_of(link)
    settings.SECRET_KEY = "new " * 20
    settings.SECRET_KEY_FALLBACKS = [old]
    assert tokens.address_of(link) == address
    settings.SECRET_KEY_FALLBACKS = []
    assert tokens.address_of(link) == ""
    assert tokens.give_link(order, at=at) != link

"""Tax rules and factors in words, and a profile chosen by name."""

from decimal import Decimal as D

import pytest

from quotes.profile_text import to_plain
from quotes.tax_profiles import PROFILES
from quotes.tax_rules import Profile, Rule
from shop.office.price_words import factor_less, less, percent_less, rule_table, said
from shop.office.tax_choice import AS_IT_IS, BY_KIND, chosen_rules, known_as, profile_choices

OWN = to_plain(Profile("Own", 3, "FR", (Rule("reverse", customers=("trade",)), Rule("rate", percent=D(20)))))


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        ("0.85", "15 % less"),
        ("1", "the usual price"),
        ("1.1", "10 % more"),
        ("0.9975", "0.25 % less"),
        ("0.1", "90 % less"),
    ],
)
def test_factor_is_said_as_a_percent(factor, words):
    assert less(D(factor)) == words
    assert factor_less(percent_less(D(factor))) == D(factor)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (None, "empty"),
        ("", "empty"),
        ([], "empty"),
        (False, "no"),
        (D("4.500"), "4.5"),
        (D(100), "100"),
        ({"part": "8", "media": "8"}, "Data media 8, Parts 8"),
        ([["10", "3"], [None, "1.6"]], "up to 10 x 3; any cost x 1.6"),
        ([3, 7], "3; 7"),
        (OWN, "Own, version 3"),
    ],
)
def test_value_is_said_plainly(value, words):
    assert said(value) == words


def test_every_profile_is_a_table_in_words():
    for made in PROFILES.values():
        table = rule_table(made())
        assert len(table) == len(made().rules)
        assert table[-1].kinds == "everything" and table[-1].places == "anywhere"
    first, last = rule_table(Profile("Own", 1, "FR", (Rule("export", ("part",), ("EU",), ("trade",)), Rule("rate", percent=D("5.50")))))  # fmt: skip
    assert (first.kinds, first.places, first.customers) == ("Parts", "the European Union", "trade customers")
    assert (last.customers, last.outcome) == ("everybody", "taxed at 5.5 %")


@pytest.mark.parametrize("key", PROFILES)
def test_chosen_profile_is_known_again_with_its_percent(key):
    rules = chosen_rules(key, D("9.250"), now={})
    assert known_as(rules) == (key, D("9.25"))
    assert chosen_rules(key, D("9.25"), now=rules) == rules
    assert chosen_rules(key, D(8), now=rules)["version"] == 2
    assert chosen_rules(BY_KIND, D(8), now=rules) == {}


def test_rules_of_ones_own_stay_as_they_are_until_others_are_chosen():
    assert known_as(OWN) == (AS_IT_IS, None)
    assert (AS_IT_IS, "Own, as they stand") in profile_choices(OWN)
    assert AS_IT_IS not in dict(profile_choices({}))
    assert chosen_rules(AS_IT_IS, None, now=OWN) == OWN
    assert chosen_rules("texas", None, now=OWN)["version"] == 4

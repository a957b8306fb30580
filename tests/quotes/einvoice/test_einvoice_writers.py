"""Facts as XML: only what is given, every number as text, nothing that XML cannot hold."""

from dataclasses import replace
from decimal import Decimal as D

import pytest
from lxml import etree

from quotes.einvoice import cii
from quotes.einvoice.cii import cii_xml, must_fit
from quotes.einvoice.fields import NotWritten, number_text, terms
from quotes.einvoice.schema import parsed, schema_faults
from quotes.einvoice.ubl import CBC, ubl_xml
from tests.einvoice_samples import ACCOUNT, credit, samples

SAMPLES = dict(samples())


def _plain(value: object) -> bool:
    if isinstance(value, dict):
        return all(_plain(item) for item in value.values())
    if isinstance(value, list):
        return all(_plain(item) for item in value)
    return not isinstance(value, float | int | D)


def test_every_number_goes_as_text_and_the_terms_are_made_anew() -> None:
    for facts in SAMPLES.values():
        first = terms(facts)
        assert _plain(first)
        assert terms(facts) == first and terms(facts) is not first


def test_rounding_amount_bears_the_documents_currency() -> None:
    root = parsed(ubl_xml(SAMPLES["whole krona"]))
    marks = {amount.get("currencyID") for amount in root.iter() if amount.get("currencyID")}
    assert marks == {"SEK"}
    assert root.find(f".//{CBC}PayableRoundingAmount") is not None


@pytest.mark.parametrize("write", [cii_xml, ubl_xml])
def test_hostile_words_stay_words(write) -> None:
    root = parsed(write(SAMPLES["text that is no markup"]))
    assert '<b>&amp; "Ell wick"</b> 修理' in [node.text for node in root.iter()]


def test_account_is_an_iban_or_any_other_and_says_which() -> None:
    said = {
        name: terms(SAMPLES[name]).get("BT-81")
        for name in ("bank named", "account that is no IBAN", "no account")
    }
    assert said == {"bank named": "58", "account that is no IBAN": "30", "no account": "1"}
    assert terms(SAMPLES["bank named"])["BT-84"] == ACCOUNT.replace(" ", "")
    assert terms(SAMPLES["bank named"])["BT-86"] == "COBADEFFXXX"


def test_outside_the_scope_names_no_vat_identifier() -> None:
    facts = SAMPLES["O EUR"]
    german = replace(facts, seller=replace(facts.seller, country="DE", tax_number="DE136695976"))
    assert not terms(german)["BG-4"]["vat_identifier"] and terms(german)["BG-4"]["identifiers"]


def test_credit_note_is_the_other_document_type() -> None:
    note = credit(SAMPLES["S EUR"])
    assert etree.QName(parsed(ubl_xml(note))).localname == "CreditNote"
    assert terms(note)["BT-3"] == "381" and terms(note)["BG-3"][0]["BT-25"] == "INV-00042"


def test_document_that_breaks_its_schema_is_refused() -> None:
    root = parsed(cii_xml(SAMPLES["S EUR"]))
    root.remove(root[0])
    assert schema_faults(root, "cii")
    with pytest.raises(NotWritten, match="schema"):
        must_fit(root, "cii")
    assert schema_faults(parsed(ubl_xml(SAMPLES["S EUR"])), "ubl credit note")


def test_writer_that_fails_is_one_sentence() -> None:
    with pytest.raises(NotWritten, match="could not be written"):
        cii_xml(replace(SAMPLES["S EUR"], number=""))


def test_rule_check_of_the_library_is_never_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """It asks a server on this machine, and passes wrong invoices when none answers."""
    asked = {}
    whole = cii.facturx.generate_xml

    def watched(*args, **more):
        asked.update(more)
        return whole(*args, **more)

    monkeypatch.setattr(cii.facturx, "generate_xml", watched)
    cii_xml(SAMPLES["S EUR"])
    assert asked["check_schematron"] is False


def test_number_without_exponent() -> None:
    assert [number_text(D(text)) for text in ("1.000", "1E+3", "0.00880", "0")] == [
        "1",
        "1000",
        "0.0088",
        "0",
    ]

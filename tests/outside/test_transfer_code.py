"""Source: EPC069-12 v2.1 (2012), its field list and limits (title facts seen, fields through second copies). An independent
decoder reads the symbol back from a picture and from the printed invoice. Computed here: 331 bytes at level M fill version
13 (69 modules), 332 need version 14. IBANs are examples of the ISO 13616 registry (from memory), checked by mod 97.
"""

import dataclasses
import io
from decimal import Decimal as D

import pytest
import segno
import zxingcpp
from PIL import Image

from intake.papers.html import pdf_from_html
from quotes.einvoice.identifiers import bic, iban
from quotes.papers.invoice import invoice_pdf, transfer_text
from quotes.papers.transfer_code import NoCode, transfer_payload, transfer_symbol
from tests.paper_samples import CREDIT, HEAD, INVOICE, codes_of

GIVEN = {
    "name": "Quillmere Bench Works",
    "account": "DE89 3704 0044 0532 0130 00",
    "amount": D("111.4"),
    "reference": "RF712348231",
}
EURO = dataclasses.replace(
    INVOICE,
    head=dataclasses.replace(HEAD, currency="EUR", locale="de_DE"),
    bank_account="DE89 3704 0044 0532 0130 00",
    bank_code="COBADEFFXXX",
)


def read_back(symbol: segno.QRCode) -> zxingcpp.Barcode:
    out = io.BytesIO()
    symbol.save(out, kind="png", scale=4, border=4)
    (found,) = zxingcpp.read_barcodes(Image.open(out))
    return found


def test_payload_line_by_line() -> None:
    assert transfer_payload(**GIVEN).split("\n") == [
        "BCD", "002", "1", "SCT", "", "Quillmere Bench Works", "DE89370400440532013000", "EUR111.40", "", "RF712348231",
    ]  # fmt: skip


def test_payload_with_every_line() -> None:
    payload = transfer_payload(
        name="Bänch", account="FR1420041010050500013M02606", amount=D(1), text="INV-00042 MARW7C4X", bank="cobadeffxxx",
        purpose="GDDS", information="Thank you",
    )  # fmt: skip
    assert payload.split("\n") == [
        "BCD", "002", "1", "SCT", "COBADEFFXXX", "Bänch", "FR1420041010050500013M02606", "EUR1.00", "GDDS", "",
        "INV-00042 MARW7C4X", "Thank you",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("other", "sentence"),
    [
        ({"account": "DE89370400440532013001"}, "no IBAN"),
        ({"account": "Anytown Bank 000-123456"}, "no IBAN"),
        ({"account": "GB29NWBK60161331926819"}, "needs its BIC"),
        ({"account": "CH9300762011623852957"}, "needs its BIC"),
        ({"bank": "NOBIC"}, "no BIC"),
        ({"name": ""}, "name is missing"),
        ({"name": "n" * 71}, "longer than 70"),
        ({"amount": D(0)}, "from 0.01"),
        ({"amount": D("1000000000")}, "from 0.01"),
        ({"amount": D("12.345")}, "more than two digits"),
        ({"amount": 12.5}, "no exact sum"),
        ({"text": "also"}, "not both"),
        ({"reference": "R" * 36}, "longer than 35"),
        ({"reference": "", "text": "t" * 141}, "longer than 140"),
        ({"purpose": "FIVES"}, "longer than 4"),
        ({"information": "i" * 71}, "longer than 70"),
        (
            {
                "name": "ü" * 70,
                "reference": "",
                "text": "ü" * 140,
                "information": "ü" * 70,
                "bank": "COBADEFFXXX",
            },
            "more than 331 bytes",
        ),
    ],
)
def test_payload_refuses(other: dict[str, object], sentence: str) -> None:
    with pytest.raises(NoCode, match=sentence):
        transfer_payload(**{**GIVEN, **other})


@pytest.mark.parametrize("amount", ["0.01", "999999999.99"])
def test_payload_takes_both_ends(amount: str) -> None:
    assert f"EUR{amount}" in transfer_payload(**{**GIVEN, "amount": D(amount)})


@pytest.mark.parametrize("bytes_long", [331, 332])
def test_symbol_at_the_limit(bytes_long: int) -> None:
    text = "a" * bytes_long
    if bytes_long > 331:
        with pytest.raises(NoCode, match="too large"):
            transfer_symbol(text)
        return
    symbol = transfer_symbol(text)
    assert (symbol.version, symbol.error, symbol.symbol_size(border=0)) == (13, "M", (69, 69))


@pytest.mark.parametrize("name", ["Quillmere Bench Works", "Bänch für Geräte", "Quillmère Øst"])
def test_symbol_is_read_back_by_another_decoder(name: str) -> None:
    payload = transfer_payload(**{**GIVEN, "name": name})
    found = read_back(transfer_symbol(payload))
    assert found.text == payload and bytes(found.bytes) == payload.encode("utf-8")
    assert found.ec_level == "M"


def test_printed_invoice_carries_the_code() -> None:
    pdf = invoice_pdf(EURO, press=pdf_from_html)
    codes = [text for kind, text in codes_of(pdf, scale=4) if "QR" in kind]
    assert codes == [transfer_text(EURO)]
    lines = codes[0].split("\n")
    assert lines[4:8] == ["COBADEFFXXX", "Quillmere Bench Works", "DE89370400440532013000", "EUR62.32"]
    assert lines[9] == "RF712348231"


@pytest.mark.parametrize(
    "other",
    [
        {"head": HEAD},
        {"balance": D(0)},
        {"balance": D(-5)},
        {"bank_account": "ZZ00 0000 0000"},
        {"bank_account": ""},
        {"credit_of": "INV-000001"},
    ],
)
def test_no_code_where_no_euro_transfer_is_asked(other: dict[str, object]) -> None:
    assert transfer_text(dataclasses.replace(EURO, **other)) == ""
    assert transfer_text(CREDIT) == ""


@pytest.mark.parametrize(
    "account",
    [
        "DE89370400440532013000", "GB29NWBK60161331926819", "GB82WEST12345698765432", "FR1420041010050500013M02606",
        "NL91ABNA0417164300", "NO9386011117947", "CH9300762011623852957", "SE4550000000058398257466",
        "IE29AIBK93115212345678", "MT84MALT011000012345MTLCAST001S", "BE68539007547034",
    ],
)  # fmt: skip
def test_iban_of_the_registry_is_one(account: str) -> None:
    assert iban(f"IBAN: {account[:4]} {account[4:]}") == account
    turned = account[:-1] + ("0" if account[-1] != "0" else "1")
    assert iban(turned) == ""


def test_bic_has_eight_or_eleven_signs() -> None:
    assert [bic(text) for text in ("COBADEFF", "cobadeffxxx", "COBADEF", "COBADEFFXX")] == [
        "COBADEFF", "COBADEFFXXX", "", "",
    ]  # fmt: skip

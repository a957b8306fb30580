"""The order code: drawn, typed, scanned, read out, explained."""

import random

import pytest
from stdnum.iso7064 import mod_37_36

from intake import codes

SAMPLE = "K7M4-3TX"
CODE = SAMPLE + mod_37_36.calc_check_digit("K7M43TX")


def drawn(count):
    rng = random.Random(7)
    return [codes.new_code(rng) for _ in range(count)]


def test_new_codes_are_safe_valid_and_different():
    found = drawn(500)
    assert len(set(found)) == 500
    for code in found:
        assert len(code) == 9
        assert code[4] == "-"
        assert set(code) - {"-"} <= set(codes.ALPHABET)
        assert codes.is_valid(code)
        assert codes.normalise(code) == code


def test_new_code_draws_from_the_system_by_default():
    assert codes.is_valid(codes.new_code())


@pytest.mark.parametrize(
    "shape",
    [
        "{a}{b}",
        "{a} {b}",
        " {a}-{b}\n",
        "{a}\u2013{b}",
        "{a}\u2212{b}",
        "{a}ß{b}",
        "{a}/{b}",
        "{a}'{b}",
        "{a}.{b}",
        "{a}_{b}",
    ],
)
@pytest.mark.parametrize("case", [str.upper, str.lower])
def test_normalise_takes_any_dash_and_case(shape, case):
    for code in drawn(20):
        typed = shape.format(a=case(code[:4]), b=case(code[5:]))
        assert codes.normalise(typed) == code


def test_normalise_reads_full_width_letters():
    code = drawn(1)[0]
    assert codes.normalise("".join(chr(ord(sign) + 0xFEE0) for sign in code.replace("-", ""))) == code


def test_normalise_reads_a_scan_on_a_german_keyboard():
    keys = str.maketrans({"Y": "Z", "Z": "Y", "-": "ß"})
    for code in drawn(300):
        assert codes.normalise(code.translate(keys)) == code


def test_normalise_reads_a_scan_on_a_french_keyboard():
    keys = str.maketrans(
        {"A": "Q", "W": "Z", "M": "?", "3": '"', "4": "'", "6": "-", "7": "è", "9": "ç", "-": ")"}
    )
    for code in drawn(300):
        assert codes.normalise(code.translate(keys)) == code


@pytest.mark.parametrize(
    "text", ["", "----", "K7M4", "K7M4-3TX99", "O0O0-1111", "490154203237518", "\x00", "🙂"]
)
def test_normalise_refuses_what_cannot_be_a_code(text):
    assert codes.normalise(text) is None
    assert not codes.is_valid(text)
    assert codes.explain(text)


def test_every_single_slip_and_most_swaps_are_found():
    """ISO/IEC 7064 promises every single substitution; a swap of neighbours is nearly always found."""
    swaps = missed = 0
    for code in drawn(40):
        plain = code.replace("-", "")
        for place in range(8):
            for other in codes.ALPHABET:
                if other != plain[place]:
                    assert not codes.is_valid(plain[:place] + other + plain[place + 1 :])
            if place < 7 and plain[place] != plain[place + 1]:
                swaps += 1
                swapped = plain[:place] + plain[place + 1] + plain[place] + plain[place + 2 :]
                missed += codes.is_valid(swapped)
    assert missed / swaps < 0.02


def test_explain_is_silent_for_a_right_code():
    assert codes.explain(drawn(1)[0].lower()) == ""


def test_explain_counts_what_is_missing_or_too_many():
    assert "2 missing" in codes.explain("K7M4-3T")
    assert "1 too many" in codes.explain("K7M4-3TX99")


def test_explain_names_the_foreign_character_and_its_place():
    assert "never hold the character O (number 3" in codes.explain("K7O4-3TX9")


def test_explain_offers_the_lookalike_that_fits():
    code = next(code for code in drawn(500) if "3" in code and code.count("3") == 1)
    assert f"Did you mean {code}?" in codes.explain(code.replace("3", "8"))


def test_explain_offers_swapped_neighbours():
    code = drawn(1)[0]
    plain = code.replace("-", "")
    sentence = codes.explain(plain[1] + plain[0] + plain[2:])
    assert "changed places" in sentence


def test_spoken_gives_words_in_two_groups():
    assert codes.spoken("K7M4-3TX9") == "Kilo, Seven, Mike, Four; Three, Tango, X-ray, Nine"
    with pytest.raises(ValueError, match="not an order code"):
        codes.spoken("hello")


@pytest.mark.parametrize(
    ("text", "kind", "ok"),
    [
        ("", "empty", None),
        ("49-015420-323751-8", "imei", True),
        ("490154203237519", "imei", False),
        ("4901542032375", "other", False),
        ("49015420323751x", "other", False),
        ("٤٩٠١٥٤٢٠٣٢٣٧٥١٨", "other", False),
    ],
)
def test_imei_check_warns_and_never_raises(text, kind, ok):
    verdict = codes.imei_check(text)
    assert (verdict.kind, verdict.ok) == (kind, ok)


def test_payment_reference_takes_an_order_code():
    from stdnum import iso11649

    reference = codes.payment_reference("K7M4-3TX9")
    assert reference.endswith("K7M43TX9")
    assert iso11649.is_valid(reference)


@pytest.mark.parametrize("number", ["", "--", "A" * 22])
def test_payment_reference_refuses_what_does_not_fit(number):
    with pytest.raises(ValueError, match="1 to 21"):
        codes.payment_reference(number)

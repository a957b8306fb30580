"""One-time codes and recovery codes as plain values."""

from hypothesis import given
from hypothesis import strategies as st

from shop.doors import one_time

SECRET = "JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP"


@given(st.integers(0, 2**40), st.integers(-200, 200))
def test_code_is_let_in_within_its_step_and_the_two_beside_it(made: int, later: int) -> None:
    step = one_time.step_at(made)
    typed, moment = one_time.code_at(SECRET, step), max(made + later, 0)
    found = one_time.step_of(typed, secret=SECRET, seconds=moment)
    if abs(one_time.step_at(moment) - step) <= 1:
        assert found is not None
    else:
        # Two steps may by chance share their six digits; then it is the code of a step that is near.
        assert found is None or one_time.code_at(SECRET, found) == typed


@given(
    st.lists(st.integers(0, 29), min_size=11, max_size=11),
    st.integers(1, 10),
    st.sampled_from(["-", " ", "", " - "]),
)
def test_line_of_the_list_is_read_in_any_grouping(letters: list[int], place: int, between: str) -> None:
    code = "".join(one_time.LETTERS[letter] for letter in letters)
    line = one_time.printed(place, code)
    assert one_time.read_recovery(line.replace("-", between).lower()) == (place, code)


@given(st.text(max_size=40))
def test_anything_typed_is_a_line_or_nothing(typed: str) -> None:
    read = one_time.read_recovery(typed)
    assert read is None or (1 <= read[0] <= 10 and len(read[1]) == one_time.RECOVERY_LETTERS)
    assert one_time.step_of(typed, secret=SECRET, seconds=0) in (None, 0, 1)


def test_list_has_ten_codes_that_differ() -> None:
    codes = one_time.fresh_list()
    assert len(set(codes)) == one_time.RECOVERY_CODES == 10
    assert one_time.fresh_secret() != one_time.fresh_secret()
    assert len(one_time.fresh_secret()) * 5 == 160


def test_address_names_house_and_person_and_cannot_be_broken_by_them() -> None:
    address = one_time.address(SECRET, name="wil&ma", house="Quill: mere?secret=X")
    assert address.startswith("otpauth://totp/Quill%20mere%3Fsecret%3DX:wil%26ma?secret=JBSW")

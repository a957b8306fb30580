"""The list of digests: its lines, its escapes, and what is refused."""

import pytest

from shop.branches.digest_lines import DigestLine, DigestListError, as_text, line_of, read_list

A, B = "a" * 64, "b" * 64


def test_list_is_read_as_it_is_written():
    lines = [
        DigestLine(A, "Photos/one two.jpg"),
        DigestLine(B, "back\\slash\nand\rbreak"),
        DigestLine(A, "-x"),
    ]
    assert read_list(as_text(lines)) == lines


def test_capitals_stars_windows_breaks_and_a_mark_at_the_front_are_taken():
    assert read_list(f"\ufeff{A.upper()} *one\r\n{B}  two\r\n") == [
        DigestLine(A, "one"),
        DigestLine(B, "two"),
    ]


def test_name_that_would_be_the_standard_input_gets_its_folder():
    assert line_of(A, "-") == f"{A}  ./-"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "The list is empty"),
        (f"{A}  one\n\n{B}  two", "Line 2 is not 64 hex digits"),
        (f"{A[:63]}  one", "Line 1 is not 64 hex digits"),
        (f"{A} one", "Line 1 is not 64 hex digits"),
        (f"{A}  /etc/one", "Line 1 begins at the root"),
        (f"{A}  one/../two", "Line 1 leads out of its folder"),
        (f"{A}  ..", "Line 1 leads out of its folder"),
        (f"{A}  one\n{B}  one", "Line 2 names a file a second time"),
        (f"\\{A}  one\\two", "backslash that stands for nothing"),
        (f"\\{A}  ..\\nx/../y", "Line 1 leads out"),
    ],
)
def test_list_that_does_not_fit_is_refused_by_its_line(text, sentence):
    with pytest.raises(DigestListError, match=sentence):
        read_list(text)


def test_dots_within_a_name_are_no_way_out():
    assert read_list(f"{A}  one..two/...")[0].name == "one..two/..."

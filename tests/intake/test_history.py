"""The chain: what it links, what it seals. Tampering: tests/intake/test_append_only.py."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake import history
from intake.models import HistoryEntry, HistoryHead
from intake.stations import Station
from tests import walk

plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)


@given(facts=st.dictionaries(st.text(), plain, max_size=4))
def test_equal_facts_have_equal_text_in_any_order(facts):
    assert history.canonical(facts) == history.canonical(dict(reversed(facts.items())))


def test_each_entry_carries_the_digest_of_the_one_before(bench, at):
    walk.to(walk.request(at=at), Station.QUOTE, by=bench.technician, at=at)
    rows = list(HistoryEntry.objects.all())
    assert [row.seq for row in rows] == list(range(1, len(rows) + 1))
    assert rows[0].previous == history.GENESIS
    assert all(after.previous == before.digest for before, after in zip(rows, rows[1:], strict=False))
    head = HistoryHead.objects.get()
    assert (head.seq, head.digest) == (rows[-1].seq, rows[-1].digest)


def test_history_names_no_person_in_clear(bench, at):
    order = walk.to(walk.request(at=at), Station.HOME, by=bench.technician, at=at)
    text = " ".join(str(row.facts) for row in HistoryEntry.objects.all())
    for private in ("Mara", "Ellwick", "mara.ellwick@example.com", "Nowhere Lane", "555-0101"):
        assert private not in text
    assert history.sealed(order, "Mara Ellwick") in text


@pytest.mark.django_db(transaction=True)
def test_history_outside_a_transaction_is_refused(at):
    with pytest.raises(RuntimeError, match="in the transaction"):
        history.record(order=None, what="test", by="nobody", at=at, facts={})


def test_empty_history_holds(db):
    assert history.verify() is None

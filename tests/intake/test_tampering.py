"""A thousand random changes behind the triggers, each found; and the end cut off, found by a head that was sent out."""

import datetime as dt
import random

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction

from intake import heads, history
from intake.append_only import arm, disarm
from intake.models import HistoryEntry, HistoryHead
from intake.refusals import Refused
from intake.stations import Station
from tests import walk

SEED = 20260204


@pytest.fixture
def chain(bench, at):
    """The history of orders at several stations, with the triggers off, as one who owns the database may have it."""
    for station in (Station.HOME, Station.REPAIR, Station.GO_AHEAD):
        walk.to(walk.request(at=at), station, by=bench.technician, at=at)
    disarm(connection, "intake_historyentry")
    assert history.verify() is None
    return list(HistoryEntry.objects.select_related("order"))


def digest_of(entry: HistoryEntry) -> str:
    return history.link_digest(
        seq=entry.seq, order_code=entry.order.code if entry.order else "", at=entry.at, who=entry.who, what=entry.what,
        facts=entry.facts, previous=entry.previous,
    )  # fmt: skip


def _facts(rng: random.Random, facts: dict) -> dict:
    """One fact changed, gone or new, however small: a digit, a letter, a list turned round."""
    if not facts or rng.random() < 0.2:
        return {**facts, rng.choice(["more", "to", ""]): rng.choice([0, None, "", [], "x"])}
    name, changed = rng.choice(list(facts)), dict(facts)
    if rng.random() < 0.2:
        del changed[name]
    else:
        changed[name] = {"was": facts[name]} if rng.random() < 0.3 else f"{facts[name]}0"
    return changed


def _edit(rng: random.Random, entry: HistoryEntry, entries: list[HistoryEntry]) -> str:
    column = rng.choice(["who", "what", "at", "facts", "order", "previous", "digest", "seq"])
    match column:
        case "who" | "what":
            old = getattr(entry, column)
            new = rng.choice(
                [
                    old + " ",
                    old.upper() if old != old.upper() else old.lower(),
                    "",
                    old[:-1] or "x",
                    "customer2",
                ]
            )
            setattr(entry, column, new[:40])
        case "at":
            entry.at += dt.timedelta(microseconds=rng.choice([1, -1, 1000, 3_600_000_000, -86_400_000_000]))
        case "facts":
            entry.facts = _facts(rng, entry.facts)
        case "order":
            others = [other.order for other in entries if other.order_id != entry.order_id]
            entry.order = (
                rng.choice([None, *others])
                if entry.order
                else rng.choice([other for other in others if other])
            )
        case "previous" | "digest":
            old = getattr(entry, column)
            place = rng.randrange(64)
            new = "0" if old[place] != "0" else "f"
            setattr(entry, column, old[:place] + new + old[place + 1 :])
        case "seq":
            entry.seq = rng.choice([0, len(entries) + 1, len(entries) + 7, 10**12])
    if rng.random() < 0.4 and column not in ("digest",):
        entry.digest = digest_of(entry)  # by one who knows how it is made
    entry.save()
    return f"{column} of one"


def _drop(rng: random.Random, entry: HistoryEntry, entries: list[HistoryEntry]) -> str:
    HistoryEntry.objects.filter(pk=entry.pk)._raw_delete("default")
    if rng.random() < 0.5:
        for after in entries[entry.seq :]:
            HistoryEntry.objects.filter(pk=after.pk).update(seq=after.seq - 1)
        return "one dropped, the others numbered anew"
    return "one dropped"


def _swap(rng: random.Random, entry: HistoryEntry, entries: list[HistoryEntry]) -> str:
    other = rng.choice([other for other in entries if other.seq != entry.seq])
    names = rng.choice(
        [
            ["seq"],
            ["facts", "what", "who"],
            ["digest", "previous"],
            ["facts", "digest", "previous", "at", "who", "what", "order"],
        ]
    )
    if all(getattr(entry, name) == getattr(other, name) for name in names):
        names = ["seq"]
    mine, theirs = ({name: getattr(row, name) for name in names} for row in (entry, other))
    if names == ["seq"]:
        HistoryEntry.objects.filter(pk=entry.pk).update(seq=10**15)
    HistoryEntry.objects.filter(pk=other.pk).update(**mine)
    HistoryEntry.objects.filter(pk=entry.pk).update(**theirs)
    return f"two swapped in {', '.join(names)}"


def _insert(rng: random.Random, entry: HistoryEntry, entries: list[HistoryEntry]) -> str:
    """A forged entry, at the end or with all after it moved up by one."""
    place = rng.choice([entry.seq, len(entries) + 1])
    for after in reversed(entries[place - 1 :]):
        HistoryEntry.objects.filter(pk=after.pk).update(seq=after.seq + 1)
    before = entries[place - 2].digest if place > 1 else history.GENESIS
    forged = HistoryEntry(
        seq=place,
        order=entry.order,
        at=entry.at,
        who=entry.who,
        what=entry.what,
        facts=entry.facts,
        previous=before,
    )
    forged.digest = digest_of(forged)
    forged.save(force_insert=True)
    return f"one inserted at {place}"


def _cut(rng: random.Random, entry: HistoryEntry, entries: list[HistoryEntry]) -> str:
    HistoryEntry.objects.filter(seq__gte=entry.seq)._raw_delete("default")
    return "the end cut off"


def test_random_tampering_is_always_found(chain, size):
    rng = random.Random(SEED)
    missed: list[str] = []
    for number in range(size(100, 1000)):
        deed = [_edit, _edit, _edit, _drop, _swap, _insert, _cut][number % 7]
        with transaction.atomic():
            entry = HistoryEntry.objects.select_related("order").get(pk=rng.choice(chain).pk)
            said = deed(rng, entry, chain)
            if history.verify() is None:
                missed.append(f"{number}: {said}, entry {entry.seq}")
            transaction.set_rollback(True)
    assert not missed
    assert history.verify() is None


def write_anew(entries: list[HistoryEntry], *, since: int) -> None:
    """As one would who knows everything: an entry changed, the chain made right again, and the head with it."""
    previous = entries[since - 2].digest if since > 1 else history.GENESIS
    for entry in entries[since - 1 :]:
        if entry.seq == since:
            entry.facts = {**entry.facts, "more": "than was"}
        entry.previous = previous
        entry.digest = previous = digest_of(entry)
        entry.save()
    HistoryHead.objects.update(seq=entries[-1].seq, digest=previous)


def test_history_written_anew_is_found_by_a_head_that_was_sent_out(chain):
    sent = heads.newest()
    write_anew(chain, since=4)
    assert history.verify() is None
    assert (
        heads.compare(sent)
        == f"Entry {sent.seq} is not the one that head tells of: the history has been written anew."
    )


def test_end_cut_off_with_its_head_is_found_by_a_head_that_was_sent_out(chain):
    sent = heads.newest()
    HistoryEntry.objects.filter(seq__gt=sent.seq - 3)._raw_delete("default")
    HistoryHead.objects.update(seq=sent.seq - 3, digest=chain[-4].digest)
    assert history.verify() is None
    assert (
        heads.compare(sent)
        == f"The history ends before entry {sent.seq}, which that head tells of: its end has been cut off."
    )
    with pytest.raises(CommandError, match="its end has been cut off"):
        call_command("verify_history", head=str(sent))


def test_history_that_went_on_still_holds_an_old_head(chain, bench, at, capsys):
    sent = heads.newest()
    arm(connection, "intake_historyentry")
    walk.request(at=at)
    assert heads.newest().seq > sent.seq
    assert heads.compare(sent) is None
    call_command("verify_history", head=f" {sent.seq}:{sent.digest[:32]}\n {sent.digest[32:].upper()}")
    newest = heads.newest()
    assert capsys.readouterr().out == (
        f"The history is whole: {newest.seq} entries. It holds entry {sent.seq} as the letter says it.\nIts head: {newest}\n"
    )


def test_entry_added_while_the_history_is_walked_is_no_fault(bench, at, monkeypatch):
    """The head is read after the entries; what came between the two is walked as well."""
    walk.request(at=at)
    walked, more = history._walk, [1]

    def meanwhile(entries, *args):
        result = walked(entries, *args)
        if more:
            more.pop()
            walk.request(at=at)
        return result

    monkeypatch.setattr(history, "_walk", meanwhile)
    assert history.verify() is None


@pytest.mark.parametrize(
    "text", ["", "12", "12:", "x:" + "0" * 64, "1:" + "g" * 64, "-1:" + "0" * 64, "9" * 19 + ":" + "0" * 64]
)
def test_what_is_no_head_is_refused(text):
    with pytest.raises(Refused, match="a number, a colon and 64 digits"):
        heads.read(text)


def test_head_of_an_empty_history(db):
    assert heads.newest() == heads.Head(0, history.GENESIS)
    assert heads.compare(heads.newest()) is None
    assert heads.compare(heads.Head(3, "0" * 64)) is not None
    assert heads.compare(heads.Head(0, "f" * 64)) == "That head is of no history."


def test_broken_history_ends_the_command_with_its_sentence(chain):
    HistoryEntry.objects.filter(seq=3).update(who="nobody")
    with pytest.raises(CommandError, match=r"^Entry 3 \(\w+\) is not what was written\.$"):
        call_command("verify_history")

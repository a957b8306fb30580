"""Tables that are only ever added to: every way around in SQL is refused, and who gets around is found."""

import datetime as dt
import json
from decimal import Decimal

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, transaction
from django.db.models import ProtectedError

from intake import append_only, history
from intake.append_only import arm, disarm
from intake.models import HistoryEntry, HistoryHead, Letterhead, Slip
from intake.stations import Station
from quotes import billing, disputes, ledger, offers, payments, proof
from quotes import erasable as quotes_erasable
from quotes.models import (
    BankLine,
    BankMatch,
    BankStatement,
    BillAddition,
    CardCheckout,
    CardEvent,
    Decision,
    DecisionStop,
    Entry,
    Invoice,
    Meter,
    MeterOffset,
    Quote,
    Statement,
    TradeAccount,
)
from shop import erasable as shop_erasable
from shop.models import BagCount, CodeShowing, ComebackCause, OwnDamage, SlipEnd, UnlockCode
from tests import walk

# What design says never changes: history, what was sent, decided, billed, paid, booked, reported, closed, moved.
GUARDED = {
    "intake_historyentry",
    "quotes_quote",
    "quotes_quotechoice",
    "quotes_quoteline",
    "quotes_quoteend",
    "quotes_decision",
    "quotes_decisionstop",
    "quotes_invoice",
    "quotes_invoiceline",
    "quotes_billaddition",
    "quotes_payment",
    "quotes_writeoff",
    "quotes_dispute",
    "quotes_disputeend",
    "quotes_entry",
    "quotes_posting",
    "quotes_closing",
    "quotes_bankstatement",
    "quotes_bankline",
    "quotes_bankmatch",
    "quotes_cardcheckout",
    "quotes_cardevent",
    "quotes_statement",
    "quotes_move",
    "quotes_meteroffset",
    "shop_codeshowing",
    "shop_comebackcause",
    "shop_owndamage",
    "shop_slipend",
    "shop_bagcount",
}
MODELS = {model._meta.db_table: model for model in apps.get_models()}
on_sqlite = pytest.mark.skipif(connection.vendor != "sqlite", reason="the statement is SQLite's own")
on_postgres = pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite has no TRUNCATE")


@pytest.fixture
def rows(bench, at):
    """One order walked home, with a row in every guarded table."""
    order = walk.to(walk.request(at=at), Station.HOME, by=bench.technician, at=at)
    DecisionStop.objects.create(decision=Decision.objects.get(), at=at, who="customer")
    assert billing.balance(order) == 0
    more_money(order, bench.owner, at)
    reports(order, bench.owner, at)
    at_the_bench(order, bench.owner, at)
    assert all(MODELS[table].objects.exists() for table in GUARDED)
    return order


def more_money(order, by, at):
    """Credited in part and paid back too little, disputed and lost, written off, closed; a line that came on top."""
    nought, given = Decimal(0), {"order": order, "by": by, "at": at}
    BillAddition.objects.create(
        key="added",
        quote=order.quotes.get(),
        kind="fee",
        text="Second shield",
        unit_price=Decimal(1),
        **given,
    )
    dispute = disputes.open_dispute(
        payment=order.payments.get(),
        amount=Decimal(1),
        fee=nought,
        why="x",
        answer_by=None,
        key="d",
        by=by,
        at=at,
    )
    disputes.end_dispute(dispute=dispute, won=False, by=by, at=at)
    payments.write_off(amount=Decimal(1), key="w", why="Lost", **given)
    day = dt.timedelta(days=1)
    ledger.close(upto=at.date(), by=by, at=at + day)
    trade = TradeAccount.objects.create(customer=order.customer, changed_at=at, changed_by=by)
    Statement.objects.create(
        number="STM-00001", account=trade, month=at.date(), letterhead=Letterhead.current(), currency="USD",
        total=nought, shown={}, at=at, by=by,
    )  # fmt: skip


def at_the_bench(order, by, at):
    """What is said once at the bench and stays said."""
    when = {"at": at, "by": by}
    MeterOffset.objects.create(
        meter=Meter.objects.create(name="Blue"), mode="ohms", amount=Decimal("0.2"), since=at, by=by
    )
    code = UnlockCode.objects.create(
        order=order, shape="digits", sealed=b"sealed", key_name="k1", given_at=at, given_by="customer"
    )
    CodeShowing.objects.create(code=code, reason="The touch test", until=at, **when)
    ComebackCause.objects.create(order=order, key="c", cause="new", words="Dropped", covered=False, **when)
    OwnDamage.objects.create(order=order, key="o", words="We slipped", **when)
    slip = Slip.objects.create(order=order, reason="quarantine", started_at=at, started_by="x", ended_at=at)
    SlipEnd.objects.create(order=order, slip=slip, how="safe", words="Out", **when)
    BagCount.objects.create(key="b", **when)


def reports(order, by, at):
    """What the bank and the card provider report."""
    statement = BankStatement.objects.create(
        digest="0" * 64, form="csv", file_name="a.csv", currency="USD", at=at, by=by
    )
    line = BankLine.objects.create(statement=statement, key="line", day=at.date(), amount=Decimal(1))
    BankMatch.objects.create(line=line, why="None of ours", at=at, by=by)
    card = {"provider": "offline", "ident": "one", "at": at}
    checkout = CardCheckout.objects.create(order=order, amount=Decimal(1), currency="USD", **card)
    CardEvent.objects.create(kind="paid", checkout=checkout, **card)


def refused(statement, *values):
    with (
        pytest.raises(DatabaseError, match="is only ever added to"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement, values)


def column_of(table):
    """A column that is not part of the key."""
    return next(f.column for f in MODELS[table]._meta.concrete_fields if not f.primary_key)


def armed_tables():
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(
                "SELECT tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE '%%only_added' "
                "GROUP BY tbl_name HAVING count(*) = 2"
            )
        else:
            cursor.execute(
                "SELECT tgrelid::regclass::text FROM pg_trigger WHERE tgname LIKE '%%only_added' "
                "AND tgenabled = 'O' GROUP BY 1 HAVING count(*) = 2"
            )
        return {row[0] for row in cursor.fetchall()}


def test_armed_tables_are_exactly_those_that_never_change(db):
    assert armed_tables() == GUARDED


@pytest.mark.parametrize("table", sorted(GUARDED))
def test_update_and_delete_are_refused(rows, table):
    column = column_of(table)
    refused(f"UPDATE {table} SET {column} = {column}")
    refused(f"DELETE FROM {table}")


@pytest.mark.parametrize("table", sorted(GUARDED))
def test_upsert_is_refused(rows, table):
    column, key = column_of(table), MODELS[table]._meta.pk.column
    refused(
        f"INSERT INTO {table} SELECT * FROM {table} WHERE true "
        f"ON CONFLICT ({key}) DO UPDATE SET {column} = excluded.{column}"
    )


@on_sqlite
@pytest.mark.parametrize("table", sorted(GUARDED))
def test_replace_is_refused(rows, table):
    refused(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")


@on_sqlite
def test_replace_by_a_row_made_up_is_refused_on_a_unique_column(rows):
    """Not the key but another unique column throws the old row out."""
    entry = HistoryEntry.objects.first()
    columns = [f.column for f in HistoryEntry._meta.concrete_fields if not f.primary_key]
    names = ", ".join(f'"{name}"' for name in columns)
    refused(
        f"INSERT OR REPLACE INTO intake_historyentry ({names}) "
        f"SELECT {names} FROM intake_historyentry WHERE seq = %s",
        entry.seq,
    )


@on_sqlite
def test_connection_has_recursive_triggers_on(db):
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA recursive_triggers")
        assert cursor.fetchone() == (1,)


@on_postgres
@pytest.mark.parametrize("table", sorted(GUARDED))
def test_truncate_is_refused(db, table):
    refused(f"TRUNCATE {table} CASCADE")


@pytest.mark.parametrize("model", [HistoryEntry, Quote, Invoice, Decision, Entry])
def test_orm_is_refused_too(rows, model):
    row = model.objects.first()
    for deed in (row.save, row.delete, lambda: model.objects.all()._raw_delete("default")):
        with (
            pytest.raises((DatabaseError, ProtectedError), match=r"only ever added to|protected"),
            transaction.atomic(),
        ):
            deed()


def tamper(statement, *values):
    """As one who owns the database may: take the triggers off, change, put them back."""
    disarm(connection, "intake_historyentry")
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
    arm(connection, "intake_historyentry")


def test_chain_of_a_walk_holds(rows):
    assert HistoryEntry.objects.count() > 10
    assert history.verify() is None


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("UPDATE intake_historyentry SET who = 'nobody' WHERE seq = 3", "Entry 3 (moved)"),
        ("UPDATE intake_historyentry SET facts = '{}' WHERE seq = 4", "Entry 4"),
        ("UPDATE intake_historyentry SET at = '2026-01-01 00:00:00+00:00' WHERE seq = 2", "Entry 2"),
        ("UPDATE intake_historyentry SET order_id = NULL WHERE seq = 5", "Entry 5"),
        ("DELETE FROM intake_historyentry WHERE seq = 4", "Entry 4 is missing"),
    ],
)
def test_tampering_is_found_at_its_place(rows, change, said):
    tamper(change)
    assert history.verify().startswith(said.removesuffix(" (moved)"))


def test_two_entries_swapped_are_found(rows):
    tamper("UPDATE intake_historyentry SET seq = 0 WHERE seq = 3")
    tamper("UPDATE intake_historyentry SET seq = 3 WHERE seq = 4")
    tamper("UPDATE intake_historyentry SET seq = 4 WHERE seq = 0")
    assert history.verify().startswith("Entry 3")


def test_tail_cut_off_is_found_by_the_head(rows):
    tamper("DELETE FROM intake_historyentry WHERE seq = %s", HistoryHead.objects.get().seq)
    assert history.verify() == "The end of the history has been cut off."


def test_whole_history_gone_is_found(rows):
    tamper("DELETE FROM intake_historyentry")
    assert history.verify() == "The end of the history has been cut off."


def test_quote_changed_behind_the_triggers_no_longer_fits_its_digest(rows):
    disarm(connection, "quotes_quote")
    Quote.objects.update(shown={**Quote.objects.get().shown, "total": "1.00"})
    arm(connection, "quotes_quote")
    quote = Quote.objects.get()
    assert offers.digest_of(quote.shown) != quote.digest == quote.decision.digest


def _blanks(table):
    return append_only.blanks_of(table)


ERASABLE = sorted({*quotes_erasable.TABLES, *shop_erasable.TABLES})


def keep_words(table):
    """The row gets words where it may lose them, put in behind the triggers."""
    disarm(connection, table)
    shown = {
        "words": "x", "finding": {"id": 1, "words": "é", "idea": "y", "idea_words": "z"}, "total": "12.50",
        "to": ["Nell Ashdown"], "tax_number": "AT-1", "choices": [{"words": "stays"}],
    }  # fmt: skip
    words = {
        name: json.dumps(["a"])
        if getattr(how, "is_json", False)
        else json.dumps(shown)
        if name == "shown"
        else "Words"
        for name, how in _blanks(table).items()
    }
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE {table} SET {', '.join(f'{name} = %s' for name in words)}", [*words.values()])
    arm(connection, table)


@pytest.mark.parametrize("table", ERASABLE)
def test_words_of_a_person_may_be_erased_and_nothing_else_changes(rows, table):
    keep_words(table)
    model = MODELS[table]
    before, columns = list(model.objects.order_by("pk").values()), set(_blanks(table))
    count = append_only.blank(connection, table, [row.pk for row in model.objects.all()])
    assert count == len(before) > 0
    for old, new in zip(before, model.objects.order_by("pk").values(), strict=True):
        assert {name for name in old if old[name] != new[name]} == columns
        for name, how in _blanks(table).items():
            assert new[name] == (
                {"[]": []}.get(how.value, how.value) if name != "shown" else emptied(old[name], how)
            )
    assert append_only.blank(connection, table, [row.pk for row in model.objects.all()]) == 0


def emptied(shown, how):
    made = json.loads(json.dumps(shown))
    for place, value in how.places:
        *path, last = place.split(".")
        within = made
        for step in path:
            within = within[step]
        within[last] = value
    return made


@pytest.mark.parametrize("table", ERASABLE)
def test_erasing_lets_no_other_change_through(rows, table):
    keep_words(table)
    blanks = _blanks(table)
    gone = {name: how.sql(connection.vendor, f'"{name}"') for name, how in blanks.items()}
    sets = ", ".join(f'"{name}" = {value}' for name, value in gone.items())
    for field in MODELS[table]._meta.concrete_fields:
        if field.column in blanks:
            continue
        value = {
            "BooleanField": "NOT {0}",
            "DateTimeField": "'2001-01-01 00:00:00+00:00'",
            "DateField": "'2001-01-01'",
        }
        other = value.get(
            field.get_internal_type(), "'[7]'" if field.get_internal_type() == "JSONField" else "7"
        )
        if other == "7" and field.get_internal_type() in ("CharField", "TextField"):
            other = "'~'"
        refused(f'UPDATE {table} SET {sets}, "{field.column}" = {other.format(field.column)}')
    for name, how in blanks.items():
        other = (
            """'{"words": ""}'"""
            if name == "shown"
            else "'[1]'"
            if getattr(how, "is_json", False)
            else "'Other'"
        )
        refused(f'UPDATE {table} SET "{name}" = {other}')
    refused(f"UPDATE {table} SET {', '.join(f'{name} = {name}' for name in gone)}")
    refused(f"DELETE FROM {table}")


def test_every_column_of_a_guarded_table_stands_in_its_trigger(db):
    """A column added later is guarded only once the table is armed anew."""
    for table in ERASABLE:
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute(
                    "SELECT sql FROM sqlite_master WHERE name = %s", [f"{table}_update_only_added"]
                )
            else:
                cursor.execute("SELECT prosrc FROM pg_proc WHERE proname = %s", [f"{table}_only_added"])
            body = cursor.fetchone()[0]
        for field in MODELS[table]._meta.concrete_fields:
            assert f'NEW."{field.column}"' in body, f"{table}.{field.column}"


def test_erased_words_leave_sums_and_chain_as_they_were(rows):
    before = proof.prove()
    for table in ERASABLE:
        append_only.blank(connection, table, list(MODELS[table].objects.values_list("pk", flat=True)))
    assert history.verify() is None
    assert Invoice.objects.first().to_name == "erased"
    assert proof.prove() == before

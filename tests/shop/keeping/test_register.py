"""The register of what is kept: every column that can hold words stands in it, and none that is not there."""

from django.apps import apps
from django.db import models

from intake.append_only import blanks_of
from shop.keeping import kinds, places, register


def test_register_names_every_column_with_words_and_no_other():
    assert register.unclassified() == []
    assert register.unknown() == []


def test_register_names_each_column_once():
    names = [(column.row, column.name) for column in register.columns()]
    assert len(names) == len(set(names))


def test_register_uses_known_words_only():
    for column in register.columns():
        assert column.cls in register.CLASSES
        assert column.kind in {"", *kinds.BY_NAME}
        assert column.end in ("blank", "erased", "delete", "keep")
        assert column.seen_by
        assert column.purpose


def test_column_that_is_emptied_can_be_found_from_its_person():
    own = {"intake.Customer", "intake.Address", "quotes.TradeAccount", "quotes.Statement"}
    for column in register.columns():
        if column.is_cleared:
            assert column.row in own or places.way_to_order(column.row), column


def test_column_of_a_guarded_table_is_emptied_exactly_where_its_guard_lets_it():
    for model in apps.get_models():
        blanks, label = blanks_of(model._meta.db_table), model._meta.label
        if blanks:
            assert {c.name for c in register.columns() if c.row == label and c.is_cleared} == set(blanks)


def test_column_that_may_not_be_empty_gets_a_word_instead():
    """Of columns that a constraint wants filled, the register says so."""
    wanted = {("quotes.Decision", "typed_name"), ("shop.Override", "reason"), ("shop.CodeShowing", "reason"),
              ("shop.ComebackCause", "words"), ("shop.OwnDamage", "words"), ("quotes.Reading", "verdict_why"),
              ("shop.WorkSession", "mended_why"), ("shop.TestRow", "reason"), ("shop.DataCopy", "deleted_how")}  # fmt: skip
    assert wanted <= {(c.row, c.name) for c in register.columns() if c.end == "erased"}


def test_new_column_without_a_line_is_named(monkeypatch):
    nickname = models.CharField(max_length=9)
    nickname.set_attributes_from_name("nickname")
    fields = [*apps.get_model("intake.Customer")._meta.concrete_fields, nickname]
    monkeypatch.setattr(apps.get_model("intake.Customer")._meta, "concrete_fields", fields, raising=False)
    assert register.unclassified() == ["intake.Customer.nickname"]


def test_days_of_a_plan_fall_back_to_the_usual_ones():
    assert kinds.days_of({}, "photos") == 365
    assert kinds.days_of({"photos": 30}, "photos") == 30
    assert kinds.days_of({"photos": None}, "photos") is None
    assert kinds.days_of({"drafts": 7}, "drafts") == 30, "the house does it by itself"
    assert kinds.days_of({}, "money") is None, "no default is claimed as law"

"""Nothing on a lower floor names a higher one: not by import, and not by the strings an import checker cannot see."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.apps import apps

from shop.setup.pure import pure_modules

ROOT = Path(__file__).resolve().parent.parent
FLOORS = ["intake", "quotes", "shop"]
LOWER = FLOORS[:-1]


# Modules that calculate, by name: whatever floor they are on, they work on plain values.
CALCULATIONS = {"addresses", "cells", "codes", "money", "pricing", "risk", "stations", "tax", "verdicts"}


def above(floor: str) -> list[str]:
    return FLOORS[FLOORS.index(floor) + 1 :]


def python_faults(source: str, floor: str) -> Iterator[str]:
    """Imports, dotted names, url names, template names, lookups and reverse accessors that point upwards."""
    upper = "|".join(above(floor))
    string = re.compile(rf"(^|[\s'\"(])({upper})[.:/]\w|(^|_)({upper})__")
    for node in ast.walk(_without_docstrings(ast.parse(source))):
        match node:
            case ast.Import(names=names):
                named = [alias.name for alias in names]
            case ast.ImportFrom(module=str(module)):
                named = [module]
            case ast.Attribute(attr=attr) if attr in above(floor):
                yield f"{node.lineno}: .{attr}"
                continue
            case ast.keyword(arg=str(arg)) if string.search(arg):
                yield f"{node.lineno}: {arg}="
                continue
            case ast.Constant(value=str(text)) if string.search(text) or (
                text == "quotes" and text in above(floor)
            ):
                yield f"{node.lineno}: {text!r}"
                continue
            case ast.Call(args=[ast.Constant(value=str(text)), *_]) if text in above(floor) and _is_lookup(
                node
            ):
                yield f"{node.lineno}: get_model({text!r})"
                continue
            case _:
                continue
        yield from (f"{node.lineno}: import {name}" for name in named if name.split(".")[0] in above(floor))


def template_faults(source: str, floors: list[str]) -> list[str]:
    """Tags that reverse a url of one of `floors`, or take in a template or a tag library of one."""
    name = re.compile(rf"""['"]({"|".join(floors)})[:/]|{{%\s*load\s[^%]*\b({"|".join(floors)})_""")
    return [tag for tag in re.findall(r"{%.*?%}", source, re.DOTALL) if name.search(tag)]


def _without_docstrings(tree: ast.Module) -> ast.Module:
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            node.body = [
                line
                for line in node.body
                if not (isinstance(line, ast.Expr) and isinstance(line.value, ast.Constant))
            ]
    return tree


def _is_lookup(call: ast.Call) -> bool:
    return getattr(call.func, "attr", getattr(call.func, "id", "")) in {"get_model", "get_app_config"}


@pytest.mark.parametrize("floor", LOWER)
def test_code_of_a_floor_names_no_higher_floor(floor: str) -> None:
    faults = [
        f"{path.relative_to(ROOT)}:{fault}"
        for path in sorted((ROOT / floor).rglob("*.py"))
        for fault in python_faults(path.read_text(encoding="utf-8"), floor)
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("folder", ["frame", "letters", "papers", *LOWER])
def test_templates_of_a_floor_name_no_higher_floor(folder: str) -> None:
    floors = above(folder) if folder in LOWER else FLOORS
    faults = [
        f"{path.relative_to(ROOT)}: {tag}"
        for path in sorted((ROOT / "templates" / folder).rglob("*"))
        if path.is_file()
        for tag in template_faults(path.read_text(encoding="utf-8"), floors)
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("floor", LOWER)
def test_foreign_keys_of_a_floor_point_to_it_or_below(floor: str) -> None:
    faults = [
        field
        for model in apps.get_app_config(floor).get_models()
        for field in model._meta.get_fields()
        if field.is_relation and field.concrete and field.related_model._meta.app_label in above(floor)
    ]
    assert not faults


@pytest.mark.parametrize("floor", LOWER)
def test_code_of_a_floor_follows_no_way_back_from_a_higher_floor(floor: str) -> None:
    """A reverse accessor exists only because an upper model points down: using it makes the floor know its upstairs."""
    faults = []
    own = _own_names(floor)
    ways = _ways_up(floor) - own
    for path in sorted((ROOT / floor).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and node.attr in ways and node.attr.endswith("_set"):
                faults.append(f"{path.relative_to(ROOT)}:{node.lineno}: .{node.attr}")
            if (
                isinstance(node, ast.keyword)
                and node.arg
                and node.arg.split("__")[0] in ways
                and "__" in node.arg
            ):
                faults.append(f"{path.relative_to(ROOT)}:{node.lineno}: {node.arg}=")
    assert not faults, "\n".join(faults)


def test_modules_that_calculate_reach_no_database() -> None:
    pure = set(pure_modules(ROOT))
    named = [
        path
        for floor in FLOORS
        for path in (ROOT / floor).rglob("*.py")
        if path.stem in CALCULATIONS or path.stem.endswith("_maths")
        if "papers" not in path.parts
    ]
    assert {"money", "stations", "pricing"} <= {path.stem for path in named}
    assert [path for path in named if path not in pure] == []


def _ways_up(floor: str) -> set[str]:
    """Names by which models of a floor are reached from above."""
    return {
        name
        for model in apps.get_app_config(floor).get_models()
        for link in model._meta.related_objects
        if link.related_model._meta.app_label in above(floor)
        for name in (link.get_accessor_name(), link.name)
        if name
    }


def _own_names(floor: str) -> set[str]:
    return {
        field.name
        for below in FLOORS[: FLOORS.index(floor) + 1]
        for model in apps.get_app_config(below).get_models()
        for field in model._meta.get_fields()
        if field.concrete or field.related_model._meta.app_label not in above(floor)
    }


@pytest.mark.parametrize(
    "line",
    [
        "import shop.clock",
        "from quotes.models import Quote",
        "def f():\n    from quotes import offers",
        "x = order.quotes.all()",
        "Order.objects.filter(quotes__sent_at=None)",
        "reverse('quotes:decide')",
        "render(request, 'shop/traveller/sheet.html')",
        "app.send_task('shop.tasks.clock_tick')",
        "apps.get_model('shop', 'Return')",
        "models.ForeignKey('quotes.Quote')",
        "Order.objects.prefetch_related('quotes')",
    ],
)
def test_a_line_that_points_upwards_is_found(line: str) -> None:
    assert list(python_faults(line, "intake"))


def test_a_line_that_speaks_of_the_shop_is_not_a_fault() -> None:
    source = '"""The shop. See quotes/."""\nclock = "shop"\nsay = "The shop. It rests."\nfrom intake import money\n'
    assert not list(python_faults(source, "intake"))


@pytest.mark.parametrize(
    "tag", ["{% url 'shop:day_sheet' %}", '{% include "quotes/bill.html" %}', "{% load quotes_words %}"]
)
def test_a_tag_that_points_upwards_is_found(tag: str) -> None:
    assert template_faults(tag, ["quotes", "shop"])

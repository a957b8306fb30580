"""What the house promises about itself: short modules, quoted commands that exist, pages that keep to the policy."""

import ast
import re
from pathlib import Path

import pytest
from django.core.management import get_commands

ROOT = Path(__file__).resolve().parent.parent
FLOORS = ["intake", "quotes", "shop"]
PLACES = {
    "DEVELOPERS.md",
    "Makefile",
    "README.md",
    "fixtures",
    "manage.py",
    "pyproject.toml",
    "templates",
    "tests",
}
LONGEST_MODULE, LONGEST_FUNCTION = 300, 40
# Folders that come into being on the machine and are no part of the house.
MADE_HERE = (".data", ".venv", ".stamps", ".env")
NAMELESS = {"utils.py", "helpers.py", "common.py", "misc.py", "signals.py"}


def code() -> list[Path]:
    return [
        path
        for floor in FLOORS
        for path in sorted((ROOT / floor).rglob("*.py"))
        if "migrations" not in path.parts
    ]


def templates() -> list[Path]:
    return sorted((ROOT / "templates").rglob("*.html"))


def guides() -> list[Path]:
    return [path for name in ("README.md", "DEVELOPERS.md") if (path := ROOT / name).exists()]


def quoted(guide: Path) -> list[str]:
    """Everything a guide sets as code: blocks and words between back quotes."""
    text = guide.read_text(encoding="utf-8")
    blocks = re.findall(r"^```.*?\n(.*?)^```", text, re.DOTALL | re.MULTILINE)
    return blocks + re.findall(
        r"`([^`\n]+)`", re.sub(r"^```.*?^```", "", text, flags=re.DOTALL | re.MULTILINE)
    )


def relative(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("guide", guides(), ids=lambda path: path.name)
def test_commands_quoted_in_a_guide_exist(guide: Path) -> None:
    targets = set(re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
    code_text = "\n".join(quoted(guide))
    wanted_targets = set(re.findall(r"\bmake ([a-z][a-z-]*)", code_text))
    wanted_commands = set(re.findall(r"\bmanage\.py ([a-z_]+)", code_text))
    assert wanted_targets <= targets
    assert wanted_commands <= set(get_commands())


@pytest.mark.parametrize("guide", guides(), ids=lambda path: path.name)
def test_paths_quoted_in_a_guide_exist(guide: Path) -> None:
    tops = "|".join(re.escape(path.name) for path in ROOT.iterdir() if path.name not in MADE_HERE)
    text = "\n".join(quoted(guide)) + "\n" + "\n".join(_links(guide))
    paths = re.findall(rf"(?<![\w./@-])((?:{tops})(?:/[\w.-]+)*/?)(?![\w/*<{{])", text)
    missing = [path for path in paths if "/" in path and not (ROOT / path).exists()]
    missing += [link for link in _links(guide) if not (ROOT / link).exists()]
    assert not missing


def _links(guide: Path) -> list[str]:
    found = re.findall(r"\]\(([^)#\s]+)", guide.read_text(encoding="utf-8"))
    return [link for link in found if "://" not in link and not link.startswith("mailto:")]


@pytest.mark.parametrize("guide", guides(), ids=lambda path: path.name)
def test_modules_quoted_in_a_guide_exist(guide: Path) -> None:
    missing = []
    for name in re.findall(rf"(?<![\w./-])((?:{'|'.join(FLOORS)})(?:\.\w+)+)", "\n".join(quoted(guide))):
        parts = name.split(".")
        if parts[-1] in {"py", "html", "txt", "css", "js", "md"}:
            continue
        longest = max(
            (n for n in range(1, len(parts) + 1) if _module(parts[:n])),
            default=0,
        )
        rest = parts[longest:]
        if longest < 2 or (rest and rest[0] not in _module(parts[:longest]).read_text(encoding="utf-8")):
            missing.append(name)
    assert not missing


def _module(parts: list[str]) -> Path | None:
    stem = ROOT.joinpath(*parts)
    return next((path for path in (stem.with_suffix(".py"), stem / "__init__.py") if path.exists()), None)


def test_top_level_holds_only_what_was_agreed() -> None:
    allowed = PLACES | set(FLOORS) | {path.name for path in ROOT.glob("requirements*.txt")}
    assert {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} <= allowed


@pytest.mark.parametrize("lock", sorted(ROOT.glob("requirements*.txt")), ids=lambda path: path.name)
def test_lock_names_no_address_and_every_digest(lock: Path) -> None:
    text = lock.read_text(encoding="utf-8")
    assert not re.search(r"://|--(extra-)?index-url|--find-links|--trusted-host|(?m:^-e )", text)
    entries = re.split(r"(?m)^(?=[A-Za-z0-9])", text)[1:]
    assert entries
    assert all("--hash=sha256:" in entry and "==" in entry for entry in entries)


def test_modules_are_short() -> None:
    long = {
        relative(path): n
        for path in code()
        if (n := len(path.read_text("utf-8").splitlines())) >= LONGEST_MODULE
    }
    assert not long


def test_functions_are_short() -> None:
    long = [
        f"{relative(path)}:{node.lineno} {node.name} {lines}"
        for path in code()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (lines := _lines(node)) >= LONGEST_FUNCTION
    ]
    assert not long, "\n".join(long)


def _lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function's body: arguments named one a line, and words that explain, shall cost nothing."""
    body = node.body[1:] if ast.get_docstring(node) is not None else node.body
    return body[-1].end_lineno - body[0].lineno + 1 if body else 0


def test_no_module_is_named_after_nothing() -> None:
    assert not [relative(path) for path in code() if path.name in NAMELESS]


SILENCED = {
    "a lint rule silenced without its name and reason": r"#\s*noqa(?!: [A-Z]+\d+(, ?[A-Z]+\d+)* -- \w)",
    "a type silenced without its name": r"#\s*type:\s*ignore(?!\[[\w, -]+\])",
    "work left for later": r"#\s*(TODO|FIXME|XXX)\b",
}


def test_every_silenced_check_gives_its_reason() -> None:
    faults = [
        f"{relative(path)}:{number} {fault}"
        for path in [*code(), *sorted((ROOT / "tests").rglob("*.py"))]
        if path != Path(__file__)
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        for fault, pattern in SILENCED.items()
        if re.search(pattern, line)
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize("line", ["x  # noqa", "x  # noqa: E501", "x  # type: ignore", "x  # TODO later"])
def test_a_silenced_check_without_a_reason_is_found(line: str) -> None:
    assert any(re.search(pattern, line) for pattern in SILENCED.values())


def test_every_migration_is_all_or_nothing() -> None:
    paths = [path for floor in FLOORS for path in (ROOT / floor / "migrations").glob("*.py")]
    assert not [relative(path) for path in paths if re.search(r"atomic\s*=\s*False", path.read_text("utf-8"))]


PAGE_FAULTS = {
    "text let through unescaped": r"\|\s*safe\b|{%\s*autoescape\s+off",
    "inline script": r"<script(?![^>]*\ssrc=)[^>]*>",
    "handler in an attribute": r"<[^>]*\s(on[a-z]+|hx-on[\w:-]*)\s*=",
    "something from another host": r"<(script|link|img|iframe|source|video)\b[^>]*\s(src|href)\s*=\s*['\"]?(https?:)?//",
}
STYLE_FAULTS = {"style in an attribute": r"<[^>]*\sstyle\s*=", "inline style sheet": r"<style\b"}


def page_faults(source: str, *, styled: bool) -> list[str]:
    """Names of the rules a template breaks; `styled` ones (letters, papers) may carry their own style."""
    rules = PAGE_FAULTS if styled else PAGE_FAULTS | STYLE_FAULTS
    return [name for name, pattern in rules.items() if re.search(pattern, source, re.IGNORECASE)]


def test_templates_keep_to_the_content_policy() -> None:
    faults = [
        f"{relative(path)}: {fault}"
        for path in templates()
        for fault in page_faults(
            path.read_text("utf-8"), styled=bool({"letters", "papers"} & set(path.parts))
        )
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize(
    "source",
    [
        "{{ note|safe }}",
        "{% autoescape off %}",
        "<script>go()</script>",
        '<a href="/" onclick="go()">',
        '<p style="color: red">',
        "<style>p {}</style>",
        '<img src="https://example.com/a.png">',
    ],
)
def test_a_template_that_breaks_the_policy_is_found(source: str) -> None:
    assert page_faults(source, styled=False)


def test_a_template_that_keeps_the_policy_passes() -> None:
    source = '<link href="/static/a.css"><script src="/static/a.js" defer></script><p title="one = two">{{ a }}</p>'
    assert not page_faults(source, styled=False)


def test_no_python_marks_text_as_safe_in_a_view_or_form() -> None:
    faults = [
        relative(path)
        for path in code()
        if {"views", "forms"} & set(path.relative_to(ROOT).with_suffix("").parts)
        if "mark_safe" in path.read_text(encoding="utf-8")
    ]
    assert not faults


def test_test_modules_have_names_of_their_own() -> None:
    """Two of one name are one module to the test runner, and the second is not collected."""
    names = [path.name for path in (ROOT / "tests").rglob("test_*.py")]
    assert sorted({name for name in names if names.count(name) > 1}) == []

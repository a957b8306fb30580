"""No pattern of the code takes for ever, whatever is typed: ASVS 5.0, 1.3.12."""

import ast
import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[3]
SEEDS = (
    "a",
    "0",
    "A",
    " ",
    "\t",
    "\n",
    "=",
    "-",
    ".",
    ",",
    "'",
    '"',
    "<",
    "(",
    "_",
    "/",
    "a0",
    "a ",
    "0 ",
    "0.",
    "0,",
    "- ",
    "ab1-",
    "é",
    "µ",
)
WHOLE, PART = ("match", "fullmatch"), ("search", "sub", "subn", "split", "findall", "finditer")


def patterns() -> Iterator[tuple[str, str, bool]]:
    """Every pattern written down in the code: where, the pattern, and whether it is looked for anywhere in a text."""
    for floor in ("intake", "quotes", "shop"):
        for path in sorted((ROOT / floor).rglob("*.py")):
            tree = ast.parse(path.read_text())
            used = {
                node.func.attr
                for node in ast.walk(tree)
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
            }
            for node in ast.walk(tree):
                match node:
                    case ast.Call(
                        func=ast.Attribute(value=ast.Name(id="re"), attr=verb),
                        args=[ast.Constant(value=str(pattern)), *_],
                    ) if verb in (*WHOLE, *PART, "compile"):
                        anywhere = verb in PART or (
                            verb == "compile" and bool(used & set(PART[:1] + PART[3:]))
                        )
                        yield f"{path.relative_to(ROOT)}:{node.lineno}", pattern, anywhere


def seconds(way: Any, text: str) -> float:
    """Processor time on the whole text, or what a shorter one lets expect: a pattern that grows badly is not waited for."""
    took = 0.0
    for length in (250, 1000, 4000, 16_000, len(text)):
        began = time.process_time()
        way(text[: length - 1] + text[-1])
        took = time.process_time() - began
        if took > 0.05:
            return took * (len(text) / length) ** 2
    return took


def test_no_pattern_takes_for_ever_on_fifty_thousand_characters() -> None:
    """Processor time, so that a busy machine does not matter; a pattern that grows badly takes minutes, not seconds."""
    slow, tried = [], 0
    for where, pattern, anywhere in patterns():
        read = re.compile(pattern)
        ways: list[Any] = [read.fullmatch, read.match, *([read.search] if anywhere else [])]
        for seed in SEEDS:
            text = (seed * 50_000)[:50_000] + "!"
            for way in ways:
                tried += 1
                if (took := seconds(way, text)) > 20:
                    slow.append(f"{where} {pattern[:60]!r} {way.__name__} {seed!r}: {took:.1f} s")
    assert not slow, "\n".join(slow)
    assert tried > 3000

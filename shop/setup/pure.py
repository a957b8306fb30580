"""Names the modules that calculate: those that reach neither Django nor a module that does.

`python shop/setup/pure.py` prints their paths, one a line, for the type checker.
"""

import ast
import sys
from pathlib import Path

FLOORS = ("intake", "quotes", "shop")
# What a calculation must not know: the frame of the pages, the queue and the processes.
IMPURE = {"django", "celery", "environ", "django_htmx", "whitenoise", "waitress", "storages"}
SIDE_ROOMS = {"migrations", "management", "templatetags", "static"}


def modules(root: Path) -> dict[str, Path]:
    """Every module of the floors by its dotted name."""
    found = {}
    for floor in FLOORS:
        for path in sorted((root / floor).rglob("*.py")):
            parts = path.relative_to(root).with_suffix("").parts
            if not SIDE_ROOMS.intersection(parts):
                found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(source: str) -> set[str]:
    """Dotted names a module imports, with the names taken from a package as possible modules."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
            names.update(f"{node.module}.{alias.name}" for alias in node.names)
    return names


def pure_modules(root: Path) -> list[Path]:
    """Paths of the modules that reach no impure package, not even through another module of the house."""
    paths = modules(root)
    reach = {name: imported(path.read_text(encoding="utf-8")) for name, path in paths.items()}
    impure = {name for name, seen in reach.items() if any(one.split(".")[0] in IMPURE for one in seen)}
    while more := {name for name, seen in reach.items() if name not in impure and seen & impure}:
        impure |= more
    return [path for name, path in paths.items() if name not in impure and path.name != "__init__.py"]


if __name__ == "__main__":
    here = Path(__file__).resolve().parent.parent.parent
    sys.stdout.writelines(f"{path.relative_to(here)}\n" for path in pure_modules(here))

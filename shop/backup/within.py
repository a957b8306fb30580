"""What runs inside a copy, as `python -m shop.backup.within settle|prove`: reads JSON, prints JSON as its last line."""

import datetime as dt
import json
import sys
from typing import Any

import django


def main(words: list[str]) -> int:
    given = json.loads(sys.stdin.read() or "{}")
    at = dt.datetime.fromisoformat(given.pop("at"))
    django.setup()
    from shop.backup import checks, settling  # noqa: PLC0415 -- rows can be named only once the house is set up

    deeds: dict[str, Any] = {"settle": settling.settle, "prove": checks.prove}
    sys.stdout.write("\n" + json.dumps(deeds[words[0]](at=at, **given), default=str) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""A process that forks others. Each child is a real process with a database connection of its own, and may be killed.

Orders come in as JSON, one a line, answers go out the same way. The nursery itself never opens a connection, so
that no child inherits one. Used by `tests/faults/scratch.py`; the deeds stand in `tests/faults/deeds.py`.
"""

import json
import multiprocessing
import os
import sys
import traceback
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from multiprocessing.synchronize import Barrier
from typing import Any

import django
from django.core.mail.utils import DNS_NAME

PATIENCE = 60
forks = multiprocessing.get_context("fork")
running: dict[int, BaseProcess] = {}


def named(deed: str) -> Any:
    from tests.faults import (
        backup_deeds,
        bank_deeds,
        book_deeds,
        deeds,
        door_deeds,
        house_deeds,
        money_deeds,
        race_deeds,
    )

    return next(
        getattr(module, deed)
        for module in (
            backup_deeds,
            deeds,
            money_deeds,
            bank_deeds,
            book_deeds,
            house_deeds,
            door_deeds,
            race_deeds,
        )
        if hasattr(module, deed)
    )


def _child(deed: str, given: dict[str, Any], out: Connection) -> None:
    try:
        out.send((look_at_each if deed == "look_at_each" else named(deed))(**given))
    except Exception:
        out.send({"broken": f"{deed}: {traceback.format_exc()}"})
        raise


def call(*, deed: str, given: dict[str, Any]) -> Any:
    """Do one deed in a child and hand back what it returned."""
    here, there = forks.Pipe(duplex=False)
    child = forks.Process(target=_child, args=(deed, given, there))
    child.start()
    there.close()
    try:
        return here.recv()
    except EOFError:
        return {"broken": f"{deed} ended with nothing to say"}
    finally:
        child.join(PATIENCE)


def each(*, deed: str, givens: list[dict[str, Any]]) -> Any:
    """Do one deed with each of many givens in one child: a thousand children only to look cost minutes."""
    return call(deed="look_at_each", given={"looks": deed, "givens": givens})


def look_at_each(*, looks: str, givens: list[dict[str, Any]]) -> list[Any]:
    look = named(looks)
    return [look(**given) for given in givens]


def start(*, deed: str, given: dict[str, Any]) -> int:
    """Begin a deed in a child and hand back its number at once."""
    child = forks.Process(target=named(deed), kwargs=given)
    child.start()
    running[child.pid or 0] = child
    return child.pid or 0


def ended(*, pid: int) -> int | None:
    """How a child ended: 0, or minus the signal that killed it; waits for it."""
    child = running.pop(pid)
    child.join(PATIENCE)
    return child.exitcode


def _racer(deed: str, subjects: list[Any], number: int, line: Barrier, out: Connection) -> None:
    from django.db import connection

    connection.ensure_connection()
    act, results = named(deed), []
    for subject in subjects:
        line.wait(PATIENCE)
        try:
            results.append(act(subject, number))
        except Exception as fault:
            results.append(f"error: {type(fault).__name__}: {fault}")
    out.send(results)


def race(*, deed: str, subjects: list[Any], racers: int) -> list[list[Any]]:
    """Every racer does the deed on each subject, all starting together; a row of results a subject."""
    line = forks.Barrier(racers)
    pipes, children = [], []
    for number in range(racers):
        here, there = forks.Pipe(duplex=False)
        child = forks.Process(target=_racer, args=(deed, subjects, number, line, there))
        child.start()
        there.close()
        pipes.append(here)
        children.append(child)
    columns = [pipe.recv() for pipe in pipes]
    for child in children:
        child.join(PATIENCE)
    return [list(row) for row in zip(*columns, strict=True)]


def main() -> None:
    django.setup()
    # What each child would otherwise do anew, some of it slowly, is done here once.
    named("prepare")
    DNS_NAME.get_fqdn()
    doors = {"call": call, "start": start, "ended": ended, "race": race, "each": each}
    # What a child prints must not end up between the answers.
    answers = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)
    for line in sys.stdin:
        order = json.loads(line)
        print(json.dumps(doors[order.pop("door")](**order)), file=answers, flush=True)


if __name__ == "__main__":
    main()

"""The whole life of one unlock code, through the real pages, in a process of its own. Run by test_code_found_nowhere.

Says on its output what it saw; never the code. `BENCHPOST_DATA` is the folder that is searched afterwards.
"""

import datetime as dt
import os
import shutil
from pathlib import Path
from unittest import mock
from urllib.parse import urlsplit

import django

MARK = "Zq7-marked-94737251"
AT = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)


def main() -> None:
    django.setup()
    from django.conf import settings
    from django.test import Client

    from intake import drain, tokens
    from intake.models import Person
    from intake.stations import Station
    from tests import walk
    from tests.faults import deeds, newest_backup

    deeds.prepare()
    plain = "django.contrib.staticfiles.storage.StaticFilesStorage"
    settings.STORAGES = {**settings.STORAGES, "staticfiles": {"BACKEND": plain}}
    settings.ALLOWED_HOSTS = ["testserver", "localhost"]
    by = Person.objects.get(username="pim")
    at = drain.now()
    order = walk.to(walk.request(at=at), Station.DIAGNOSIS, by=by, at=at)
    customer, staff = Client(raise_request_exception=False), Client(raise_request_exception=False)
    staff.force_login(by)
    assert customer.get(urlsplit(tokens.address_of(tokens.give_link(order, at=at))).path).status_code == 303
    theirs, ours = f"/your/{order.code}/unlock-code/", f"/sheet/{order.code}/unlock-code/"
    given = {"shape": "word", "unlock_code": MARK}
    with mock.patch("shop.vault.unlocking.history.record", side_effect=RuntimeError("the disk is full")):
        print("broken:", customer.post(theirs, given).status_code)
    print("refused:", customer.post(theirs, {"shape": "digits", "unlock_code": MARK}).status_code)
    print("signed out:", Client().post(ours, given).status_code)
    print("given:", customer.post(theirs, given).status_code)
    page = staff.post(f"{ours}show/", {"reason": "The touch test"})
    print("seen:", MARK in page.content.decode())
    print("with the code:", staff.post(f"{ours}show/", {"reason": f"it is {MARK}"}).status_code)
    copies("held", at)
    walk.to(order, Station.HOME, by=by, at=at)
    print("asked again:", staff.post(f"{ours}show/", {"reason": "The touch test"}).status_code)
    while drain.drain(at=at):
        pass
    for paper in order.papers.all():
        staff.get(f"/paper/{paper.pk}/")
    copies("home", at + dt.timedelta(minutes=1))
    newest_backup.lay_open()


def copies(name: str, at: dt.datetime) -> None:
    """The database as a backup would take it, its files as they lie, and every row as text."""
    from django.apps import apps
    from django.conf import settings
    from django.db import connection

    from shop.setup.database import copy_before_change

    place = Path(settings.DATA) / name
    place.mkdir()
    copy_before_change(at)
    if connection.vendor == "sqlite":
        for file in Path(settings.DATA).glob("*.sqlite3*"):
            shutil.copy(file, place / file.name)
    rows = [
        str(row)
        for model in apps.get_models(include_auto_created=True)
        for row in model.objects.values_list()
    ]
    (place / "rows.txt").write_text("\n".join(rows))


if __name__ == "__main__":
    assert os.environ["BENCHPOST_DATA"]
    main()

"""A marked person comes, goes home and is erased, in a process of its own. Run by test_person_found_nowhere.

Prints the marks that may stay. `BENCHPOST_DATA` is the folder that is searched afterwards.
"""

import json
import os
from pathlib import Path

import django

WORD = "zqperson"


def main() -> None:
    django.setup()
    from django.apps import apps
    from django.conf import settings
    from django.db import connection
    from django.test import Client

    from intake import drain, history
    from intake.lifecycle import Actor
    from intake.models import Person
    from quotes import proof
    from shop.keeping import erasing, exporting, remains
    from tests.faults import deeds, newest_backup
    from tests.shop.keeping.marked import MONEY, marked_person

    deeds.prepare()
    plain = "django.contrib.staticfiles.storage.StaticFilesStorage"
    settings.STORAGES = {**settings.STORAGES, "staticfiles": {"BACKEND": plain}}
    settings.ALLOWED_HOSTS = ["testserver", "localhost"]
    by, at = Person.objects.get(username="pim"), drain.now()
    person = marked_person(WORD, by=by, at=at)
    person.order.letters.update(state="pending", sent_at=None, to=f"{WORD}@example.com")
    while drain.drain(at=at):
        pass
    staff = Client()
    staff.force_login(by)
    for paper in person.order.papers.filter(maker__in=["shipping_form", "invoice"]):
        staff.get(f"/paper/{paper.pk}/")
    for page in (f"/sheet/{person.order.code}/", f"/find/?q={WORD}"):
        assert staff.get(page).status_code in (200, 302)
    person.order.letters.exclude(state="sent").update(state="dead")
    assert WORD in json.dumps(exporting.data(person.customer, at=at))
    before = proof.prove()
    erasing.erase(customer=person.customer, why="Asked by letter", by=Actor("ansel", "AR"), at=at)
    assert (proof.prove(), history.verify()) == (before, None)
    if connection.vendor == "sqlite":
        assert remains.wipe()
    rows = [
        str(row)
        for model in apps.get_models(include_auto_created=True)
        for row in model.objects.values_list()
    ]
    (Path(settings.DATA) / "rows.txt").write_text("\n".join(rows))
    newest_backup.lay_open()
    print(json.dumps(sorted(mark for place, mark in person.marks.items() if place in MONEY)))


if __name__ == "__main__":
    assert os.environ["BENCHPOST_DATA"]
    main()

"""The owner's pages of keeping, and the notes of who saw what."""

import re

import pytest
from django.urls import reverse

from intake.models import Customer, Paper, Photo
from shop.keeping import sights
from shop.models import RetentionPlan, Sight

PAGES = ("kept_for", "what_would_go", "what_we_keep", "register_file", "people_kept")


@pytest.fixture
def desk(client, bench):
    client.force_login(bench.owner)
    return client


def test_pages_are_the_owners(client, bench, mara):
    pages = [reverse(f"shop:{name}") for name in PAGES]
    pages += [reverse(f"shop:{name}", args=[mara.customer.pk]) for name in ("one_person", "who_saw_person")]
    pages += [reverse("shop:who_saw_order", args=[mara.order.code])]
    for page in pages:
        assert client.get(page).status_code == 302
    client.force_login(bench.technician)
    for page in pages:
        assert client.get(page).status_code == 403
    client.force_login(bench.owner)
    for page in pages:
        assert client.get(page).status_code == 200


def test_plan_is_saved_as_a_new_version(desk, bench):
    page = reverse("shop:kept_for")
    text = desk.get(page).content.decode()
    assert "Nobody has saved this page yet" in text
    typed = {"seen": 0, "photos": "100", "words": "730", "bench": "", "letters": "365", "papers": "730", "senders": "90",
             "sights": "730", "contact": "", "money": "", "basis": ""}  # fmt: skip
    assert desk.post(page, typed).status_code == 303
    assert RetentionPlan.objects.get().days["photos"] == 100
    assert RetentionPlan.objects.get().days["contact"] is None
    bad = desk.post(page, {**typed, "seen": 1, "photos": "3"})
    assert bad.status_code == 422
    assert "From 7 to 36500 days" in bad.content.decode()
    late = desk.post(page, {**typed, "photos": "200"})
    assert late.status_code == 422
    assert "was saved while you were writing" in late.content.decode()
    unnamed = desk.post(page, {**typed, "seen": 1, "money": "3650"})
    assert "Name the law or the reason" in unnamed.content.decode()


def test_register_is_a_table_and_a_file(desk):
    assert "salt" in desk.get(reverse("shop:what_we_keep")).content.decode()
    answer = desk.get(reverse("shop:register_file"))
    assert answer["Content-Disposition"] == 'attachment; filename="what-we-keep.csv"'
    assert "Customer,name,Who somebody is,Names and addresses,erased,staff" in answer.content.decode()


def test_person_is_found_by_code_mail_and_name(desk, mara):
    for typed in (mara.order.code, mara.customer.email, mara.customer.name):
        assert mara.customer.name in desk.get(reverse("shop:people_kept"), {"q": typed}).content.decode()
    assert (
        "Nobody here has that" in desk.get(reverse("shop:people_kept"), {"q": "%' OR 1=1"}).content.decode()
    )


def test_owner_erases_a_person_and_sees_what_stays(desk, mara):
    page, act = (reverse(f"shop:{name}", args=[mara.customer.pk]) for name in ("one_person", "person_erase"))
    before = desk.get(page).content.decode()
    assert "What would go" in before
    assert "Notes at a station" in before
    assert "StationLine" not in before
    bare = desk.post(act, {"why": "", "sure": ""})
    assert bare.status_code == 422
    assert "Write why" in bare.content.decode()
    assert "Tick that you know" in bare.content.decode()
    assert desk.post(act, {"why": "Asked", "sure": "on"}).status_code == 303
    text = desk.get(page).content.decode()
    assert "An erased person" in text
    assert "For good: no reason was named" in text
    assert mara.word not in text
    assert Customer.objects.get(pk=mara.customer.pk).erased_at
    sheet = desk.get(reverse("shop:sheet", args=[mara.order.code]))
    assert sheet.status_code == 200
    shown = sheet.content.decode()
    assert "with the personal words on it" in shown
    assert {paper.gone_at for paper in Paper.objects.filter(pk__in=re.findall(r"/paper/(\d+)/", shown))} == {
        None
    }
    assert desk.get(reverse("shop:who_saw_order", args=[mara.order.code])).status_code == 200


def test_erasing_asks_for_the_password_again(desk, mara):
    session = desk.session
    session["password_proved_at"] = 0
    session.save()
    answer = desk.post(reverse("shop:person_erase", args=[mara.customer.pk]), {"why": "Asked", "sure": "on"})
    assert answer.status_code == 303
    assert "again" in answer["Location"]
    assert Customer.objects.get(pk=mara.customer.pk).erased_at is None


def test_who_saw_what_is_noted_once_a_day(client, bench, mara, django_assert_num_queries):
    client.force_login(bench.technician)
    page = reverse("shop:sheet", args=[mara.order.code])
    for _ in range(3):
        client.get(page)
    sights.forget_noted()
    client.get(page)
    assert [(row.what, row.person, row.order) for row in Sight.objects.all()] == [
        ("sheet", bench.technician, mara.order)
    ]
    photo, paper = Photo.objects.filter(order=mara.order).first(), Paper.objects.get(maker="invoice")
    client.get(reverse("shop:photo", args=[photo.pk]))
    client.get(reverse("shop:paper", args=[paper.pk]))
    client.force_login(bench.owner)
    client.get(reverse("shop:letter", args=[mara.order.letters.first().pk]))
    assert set(Sight.objects.values_list("what", flat=True)) == {"sheet", "photos", "papers", "letters"}
    client.force_login(bench.owner)
    told = client.get(reverse("shop:who_saw_order", args=[mara.order.code])).content.decode()
    assert "the sheet" in told
    assert str(bench.technician) in told


def test_page_that_was_refused_is_not_noted(client, bench, mara):
    client.get(reverse("shop:sheet", args=[mara.order.code]))
    client.force_login(bench.owner)
    client.get(reverse("shop:photo", args=[999_999]))
    assert not Sight.objects.exists()


def test_note_is_one_query_and_then_none(bench, mara, at, django_assert_num_queries):
    # The note, and around it the two words of the transaction within the test's own.
    for count in (3, 0):
        with django_assert_num_queries(count):
            sights.note(bench.owner.pk, "sheet", {"code": mara.order.code}, at=at)

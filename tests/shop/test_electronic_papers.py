"""The electronic invoice leaves by every door a paper has: staff, customer, mail; and the owner reads why there is none."""

from datetime import datetime
from types import SimpleNamespace
from urllib.parse import urlsplit

import pytest
from django.core import mail
from django.db import transaction
from django.test import Client
from django.utils import timezone

from intake import drain, letters, tokens
from intake.models import Letterhead, Order, Paper
from intake.stations import Station
from tests import walk


@pytest.fixture
def order(bench: SimpleNamespace, at: datetime) -> Order:
    return walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)


@pytest.fixture
def xml(order: Order) -> Paper:
    return order.papers.get(maker="invoice_xml")


@pytest.fixture
def owner(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def test_staff_keep_it_as_a_file(owner: Client, xml: Paper) -> None:
    answer = owner.get(f"/paper/{xml.pk}/")
    assert answer.headers["Content-Type"] == "application/xml"
    assert answer.headers["Content-Disposition"] == f'attachment; filename="{xml.file_name}"'
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.content.startswith(b"<?xml") and b"urn:cen.eu:en16931:2017" in answer.content


def test_customer_has_it_as_a_sealed_download(client: Client, order: Order, xml: Paper) -> None:
    client.get(urlsplit(tokens.address_of(tokens.give_link(order, at=timezone.now()))).path)
    answer = client.get(f"/your/{order.code}/paper/{xml.pk}/")
    assert answer.headers["Content-Type"] == "application/xml"
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert "sandbox" in answer.headers["Content-Security-Policy"]


def test_mail_names_each_paper_for_what_it_is(order: Order, xml: Paper, at: datetime) -> None:
    with transaction.atomic():
        letters.post(
            order=order, kind="withdrawn", key="with papers", to="mara.ellwick@example.com", context={}, at=at,
            papers=[xml, order.papers.get(maker="invoice")],
        )  # fmt: skip
    drain.drain(at=at)
    kinds = {part.filename: part.mimetype for sent in mail.outbox for part in sent.attachments}
    assert kinds[xml.file_name] == "application/xml"
    assert kinds[xml.file_name.replace(".xml", ".pdf")] == "application/pdf"


def test_owner_reads_why_there_is_none(
    bench: SimpleNamespace, owner: Client, at: datetime, client: Client
) -> None:
    Letterhead.objects.update(tax_number="")
    order = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    said = "No electronic file with it: The shop&#x27;s tax number is missing in the settings."
    assert said in owner.get(f"/sheet/{order.code}/").content.decode()
    client.force_login(bench.technician)
    assert "No electronic file" not in client.get(f"/sheet/{order.code}/").content.decode()
    assert not order.papers.filter(maker="invoice_xml").exists()

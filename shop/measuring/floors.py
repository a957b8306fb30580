"""The least that could do the work: one select, three inserts, a bare PDF, a bare label."""

import datetime as dt
import io
import secrets
from collections.abc import Callable

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.urls import path
from reportlab.graphics.barcode.code128 import Code128
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration

from intake.models import Address, Customer, Device, Order
from intake.papers.faces import face_path
from intake.papers.html import PAGES, STYLES, ClosedFetcher
from shop.urls import urlpatterns as pages


def one_select(_request: HttpRequest, pk: int) -> HttpResponse:
    """A page that reads one order and says its code."""
    return HttpResponse(Order.objects.get(pk=pk).code)


urlpatterns = [path("floor/<int:pk>/", one_select), *pages]


def three_inserts(at: dt.datetime) -> None:
    """A transaction that writes three small rows."""
    with transaction.atomic():
        Device.objects.create(kind="phone", make="Zarnik", model="Z7")
        Customer.objects.create(
            name="Mara Ellwick", email=f"{secrets.token_hex(4)}@example.com", created_at=at
        )
        Address.objects.create(name="Mara Ellwick", street="3 Nowhere Lane", city="Anytown", country="US")


def bare_pdf(html: str, *, page: str) -> Callable[[], object]:
    """Lays out a page that is filled already, by WeasyPrint alone; styles and faces are parsed once."""
    fonts, fetcher = FontConfiguration(), ClosedFetcher()
    rules = STYLES["paper.css"].read_text("utf-8") + f"\n@page {{ size: {PAGES[page]} }}"
    styles = [CSS(string=rules, font_config=fonts, url_fetcher=fetcher)]
    return lambda: HTML(string=html, url_fetcher=fetcher).write_pdf(stylesheets=styles, font_config=fonts)


def bare_label(code: str) -> Callable[[], bytes]:
    """Draws a label with the faces ours has to embed, a line in each and a Code 128, by ReportLab alone."""
    faces = []
    for name in ("Plate.ttf", "Read.ttf", "Gauge.ttf"):
        pdfmetrics.registerFont(TTFont(f"bare-{name}", str(face_path(name))))
        faces.append(f"bare-{name}")

    def draw() -> bytes:
        out = io.BytesIO()
        canvas = Canvas(out, pagesize=(62 * mm, 29 * mm))
        for line, face in enumerate(faces):
            canvas.setFont(face, 8)
            canvas.drawString(2 * mm, (24 - 4 * line) * mm, code)
        Code128(code, barHeight=8 * mm, barWidth=0.3 * mm).drawOn(canvas, 1 * mm, 2 * mm)
        canvas.showPage()
        canvas.save()
        return out.getvalue()

    return draw

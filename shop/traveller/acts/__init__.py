"""What can be posted on the traveller; one module a subject, each with its `urlpatterns`."""

from django.urls import URLPattern

from shop.traveller.acts import (
    bill,
    bill_more,
    choices,
    diagnosis,
    go_ahead,
    goods_in,
    goods_out,
    home,
    messages,
    minutes,
    papers,
    parts,
    photos,
    quote,
    readings,
    repair,
    slips,
    test,
    way_home,
)

urlpatterns: list[URLPattern] = [
    *goods_in.urlpatterns,
    *diagnosis.urlpatterns,
    *readings.urlpatterns,
    *quote.urlpatterns,
    *choices.urlpatterns,
    *go_ahead.urlpatterns,
    *minutes.urlpatterns,
    *repair.urlpatterns,
    *parts.urlpatterns,
    *test.urlpatterns,
    *goods_out.urlpatterns,
    *way_home.urlpatterns,
    *home.urlpatterns,
    *slips.urlpatterns,
    *messages.urlpatterns,
    *bill.urlpatterns,
    *bill_more.urlpatterns,
    *photos.urlpatterns,
    *papers.urlpatterns,
]

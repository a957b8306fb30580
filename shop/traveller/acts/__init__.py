"""What can be posted on the traveller; one module a subject, each with its `urlpatterns`."""

from django.urls import URLPattern

from shop.traveller.acts import (
    bill,
    diagnosis,
    go_ahead,
    goods_in,
    goods_out,
    home,
    messages,
    papers,
    photos,
    quote,
    repair,
    slips,
    test,
    way_home,
)

urlpatterns: list[URLPattern] = [
    *goods_in.urlpatterns,
    *diagnosis.urlpatterns,
    *quote.urlpatterns,
    *go_ahead.urlpatterns,
    *repair.urlpatterns,
    *test.urlpatterns,
    *goods_out.urlpatterns,
    *way_home.urlpatterns,
    *home.urlpatterns,
    *slips.urlpatterns,
    *messages.urlpatterns,
    *bill.urlpatterns,
    *photos.urlpatterns,
    *papers.urlpatterns,
]

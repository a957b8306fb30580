"""The addresses of this room: the owner's pages of the bank, the customer's way to pay by card, the provider's reports."""

from django.urls import URLPattern, URLResolver, path

from shop.banking import card_views, paying, pretending, views

urlpatterns: list[URLPattern | URLResolver] = [
    path("bank/", views.desk, name="bank"),
    path("bank/look/", views.look, name="bank_look"),
    path("bank/take-in/", views.take_in, name="bank_take_in"),
    path("bank/done/", views.done, name="bank_done"),
    path("bank/lines/<int:pk>/confirm/", views.confirm, name="bank_confirm"),
    path("bank/lines/<int:pk>/by-hand/", views.by_hand, name="bank_by_hand"),
    path("bank/lines/<int:pk>/booked/", views.booked, name="bank_booked"),
    path("bank/lines/<int:pk>/payout/", views.payout, name="bank_payout"),
    path("bank/lines/<int:pk>/not-ours/", views.not_ours, name="bank_not_ours"),
    path("bank/cards/<int:pk>/again/", card_views.again, name="card_again"),
    path("bank/cards/<int:pk>/aside/", card_views.aside, name="card_aside"),
    path("cards/<slug:provider>/events/", card_views.events, name="card_events"),
    path("cards/pretend/<slug:ident>/", pretending.page, name="card_pretend"),
    path("your/<code:code>/card/", paying.pay, name="pay_by_card"),
    path("your/<code:code>/card/back/", paying.back, name="card_back"),
]

"""The addresses of this room: the owner's pages of the bank, the customer's way to pay by card, the provider's reports."""

from django.urls import URLPattern, URLResolver, path

from shop.banking import card_views, paying, pretending, views

urlpatterns: list[URLPattern | URLResolver] = [
    path("accounts/bank/", views.desk, name="bank"),
    path("accounts/bank/look/", views.look, name="bank_look"),
    path("accounts/bank/take-in/", views.take_in, name="bank_take_in"),
    path("accounts/bank/done/", views.done, name="bank_done"),
    path("accounts/bank/lines/<int:pk>/confirm/", views.confirm, name="bank_confirm"),
    path("accounts/bank/lines/<int:pk>/by-hand/", views.by_hand, name="bank_by_hand"),
    path("accounts/bank/lines/<int:pk>/booked/", views.booked, name="bank_booked"),
    path("accounts/bank/lines/<int:pk>/payout/", views.payout, name="bank_payout"),
    path("accounts/bank/lines/<int:pk>/not-ours/", views.not_ours, name="bank_not_ours"),
    path("accounts/bank/cards/<int:pk>/again/", card_views.again, name="card_again"),
    path("accounts/bank/cards/<int:pk>/aside/", card_views.aside, name="card_aside"),
    path("cards/<slug:provider>/events/", card_views.events, name="card_events"),
    path("cards/pretend/<slug:ident>/", pretending.page, name="card_pretend"),
    path("your/<code:code>/card/", paying.pay, name="pay_by_card"),
    path("your/<code:code>/card/back/", paying.back, name="card_back"),
]

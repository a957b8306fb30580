"""The addresses of the office: in and out, the light, what was kept, settings, letters."""

from django.urls import URLPattern, URLResolver, path

from shop.office import (
    doors,
    house_views,
    letters_views,
    people_views,
    price_list_views,
    price_row_views,
    price_views,
)
from shop.surface import switch_light

urlpatterns: list[URLPattern | URLResolver] = [
    path("sign-in/", doors.sign_in, name="sign_in"),
    path("sign-out/", doors.sign_out, name="sign_out"),
    path("kept/", doors.kept, name="kept"),
    path("light/", switch_light, name="light"),
    path("settings/", house_views.settings, name="settings"),
    path("settings/letterhead/", house_views.letterhead, name="letterhead"),
    path("settings/texts/", house_views.texts, name="texts"),
    path("settings/letters/", house_views.letters_policy, name="letters_policy"),
    path("settings/rates/", price_views.rates, name="rates"),
    path("settings/rates/versions/", price_views.rates_versions, name="rates_versions"),
    path("settings/rates/versions/<int:version>/", price_views.rates_version, name="rates_version"),
    path("settings/prices/", price_row_views.price_book, name="price_book"),
    path("settings/prices/changes/", price_row_views.price_changes, name="price_changes"),
    path("settings/prices/parts/", price_row_views.part_prices, name="part_prices"),
    path("settings/prices/<slug:kind>/list.<slug:ending>", price_list_views.out, name="price_list_out"),
    path("settings/prices/<slug:kind>/in/", price_list_views.come_in, name="price_list_in"),
    path("settings/remedies/", price_row_views.remedies, name="remedies"),
    path("settings/remedies/new/", price_row_views.remedy, name="new_remedy"),
    path("settings/remedies/<int:pk>/", price_row_views.remedy, name="remedy"),
    path("settings/surcharges/", price_row_views.surcharges, name="surcharges"),
    path("settings/surcharges/new/", price_row_views.surcharge, name="new_surcharge"),
    path("settings/surcharges/<int:pk>/", price_row_views.surcharge, name="surcharge"),
    path("settings/tiers/", price_row_views.tiers, name="tiers"),
    path("settings/tiers/new/", price_row_views.tier, name="new_tier"),
    path("settings/tiers/<int:pk>/", price_row_views.tier, name="tier"),
    path("settings/tests/", price_views.test_lists_page, name="test_lists"),
    path("settings/tests/<slug:kind>/", price_views.test_list, name="test_list"),
    path("settings/people/", people_views.people, name="people"),
    path("settings/people/new/", people_views.add, name="new_person"),
    path("settings/people/<int:pk>/", people_views.change, name="person"),
    path("settings/people/<int:pk>/password/", people_views.password, name="person_password"),
    path("settings/people/<int:pk>/leave/", people_views.let_go, name="person_leave"),
    path("letters/", letters_views.letters, name="letters"),
    path("letters/<int:pk>/", letters_views.letter, name="letter"),
    path("letters/<int:pk>/html/", letters_views.html, name="letter_html"),
    path("letters/<int:pk>/again/", letters_views.again, name="letter_again"),
    path("letters/<int:pk>/arrived/", letters_views.arrived, name="letter_arrived"),
]

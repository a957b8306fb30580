"""The addresses of the branches."""

from django.urls import URLPattern, URLResolver, path

from shop.branches import acts, window_views

urlpatterns: list[URLPattern | URLResolver] = [
    path("sheet/<code:code>/copy/", acts.data_copy, name="data_copy"),
    path("sheet/<code:code>/copy/gone/", acts.copy_gone, name="copy_gone"),
    path("sheet/<code:code>/copy/<int:pk>/list/", acts.copy_list, name="copy_list"),
    path("sheet/<code:code>/comeback/cause/", acts.cause, name="comeback_cause"),
    path("sheet/<code:code>/comeback/cover/", acts.cover, name="comeback_cover"),
    path("sheet/<code:code>/comeback/free/", acts.free, name="comeback_free"),
    path("sheet/<code:code>/wrong-device/", acts.slip_of_wrong_device, name="wrong_device"),
    path("sheet/<code:code>/battery/", acts.slip_of_battery, name="battery"),
    path("sheet/<code:code>/own-damage/", acts.damaged, name="own_damage"),
    path("sheet/<code:code>/recycle-instead/", acts.recycled_instead, name="recycle_instead"),
    path("your/<code:code>/copy/<int:pk>/list/", window_views.own_list, name="own_copy_list"),
]

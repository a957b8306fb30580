"""Addresses of the doors."""

from django.urls import URLPattern, URLResolver, path

from shop.doors import in_views, my_views, owner_views, second_views

urlpatterns: list[URLPattern | URLResolver] = [
    path("sign-in/", in_views.sign_in, name="sign_in"),
    path("sign-in/code/", in_views.code, name="sign_in_code"),
    path("sign-in/again/", in_views.again, name="sign_in_again"),
    path("sign-out/", in_views.sign_out, name="sign_out"),
    path("sign-in/mine/", my_views.mine, name="my_sign_in"),
    path("sign-in/mine/password/", my_views.password, name="my_password"),
    path("sign-in/mine/others/", my_views.end_others, name="end_other_sign_ins"),
    path("sign-in/second/", second_views.second, name="second_step"),
    path("sign-in/second/begin/", second_views.begin, name="second_step_begin"),
    path("sign-in/second/later/", second_views.later, name="second_step_later"),
    path("sign-in/second/list/", second_views.new_list, name="second_step_list"),
    path("sign-in/second/off/", second_views.take_off, name="second_step_off"),
    path("settings/came-in/", owner_views.came_in, name="came_in"),
    path("settings/people/<int:pk>/second-off/", owner_views.take_off, name="person_second_off"),
]

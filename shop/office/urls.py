"""The addresses of the office: in and out, the light, what was kept."""

from django.urls import URLPattern, URLResolver, path

from shop.office import doors
from shop.surface import switch_light

urlpatterns: list[URLPattern | URLResolver] = [
    path("sign-in/", doors.sign_in, name="sign_in"),
    path("sign-out/", doors.sign_out, name="sign_out"),
    path("kept/", doors.kept, name="kept"),
    path("light/", switch_light, name="light"),
]

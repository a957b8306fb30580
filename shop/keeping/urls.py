"""The addresses of keeping."""

from django.urls import URLPattern, URLResolver, path

from shop.keeping import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("settings/keeping/", views.kept_for, name="kept_for"),
    path("settings/keeping/tonight/", views.what_would_go, name="what_would_go"),
    path("settings/keeping/register/", views.what_we_keep, name="what_we_keep"),
    path("settings/keeping/register.csv", views.register_file, name="register_file"),
    path("settings/keeping/people/", views.people, name="people_kept"),
    path("settings/keeping/people/<int:pk>/", views.one_person, name="one_person"),
    path("settings/keeping/people/<int:pk>/out/", views.export, name="person_out"),
    path("settings/keeping/people/<int:pk>/erase/", views.erase, name="person_erase"),
    path("settings/keeping/people/<int:pk>/seen/", views.who_saw_person, name="who_saw_person"),
    path("sheet/<code:code>/seen/", views.who_saw_order, name="who_saw_order"),
]

"""The customer's addresses: the mailed link, the window, its acts."""

from django.urls import URLPattern, URLResolver, path

from shop.window import answering, doors, files, views

urlpatterns: list[URLPattern | URLResolver] = [
    path("l/<str:token>/", doors.open_link, name="open_link"),
    path("lost-link/", doors.lost_link, name="lost_link"),
    path("your/<code:code>/", views.window, name="window"),
    path("your/<code:code>/posted/", views.posted, name="posted"),
    path("your/<code:code>/withdraw/", views.withdraw, name="withdraw"),
    path("your/<code:code>/ask/", views.ask, name="ask"),
    path("your/<code:code>/stop/", views.stop, name="stop"),
    path("your/<code:code>/answer/", answering.answer, name="answer"),
    path("your/<code:code>/paper/<int:pk>/", files.paper, name="own_paper"),
    path("your/<code:code>/photo/<int:pk>/", files.photo, name="own_photo"),
]

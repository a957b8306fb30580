"""The addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from intake.views import front, photos, request

urlpatterns: list[URLPattern | URLResolver] = [
    path("", front.front, name="front"),
    path("request/", request.begin, name="request"),
    path("request/another/", request.another, name="another"),
    path("request/do-not-post/", request.do_not_post, name="do_not_post"),
    path("request/photo/<int:photo_id>/", photos.photo, name="draft_photo"),
    path("request/resume/<str:token>/", request.resume, name="resume"),
    path("request/<slug:step>/", request.step, name="step"),
]

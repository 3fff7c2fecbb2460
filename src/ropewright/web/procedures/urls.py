"""Addresses of procedures."""

from django.urls import path

from ropewright.web.procedures.views import library, page, working

app_name = "procedures"
urlpatterns = [
    path("", library.library, name="library"),
    path("working/<str:key>/", working.working, name="working"),
    path("working/<str:key>/again/", working.retry, name="retry"),
    path("first/<str:key>.svg", library.first_picture, name="first-picture"),
    path("<slug:procedure>/", page.storyboard, name="open"),
    path("<slug:procedure>/proof/", page.proof, name="proof"),
]

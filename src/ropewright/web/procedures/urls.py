"""Addresses of procedures."""

from django.urls import path

from ropewright.web.procedures.views import library, mistakes, page, sheets, ways, working

app_name = "procedures"
urlpatterns = [
    path("", library.library, name="library"),
    path("working/<str:key>/", working.working, name="working"),
    path("working/<str:key>/again/", working.retry, name="retry"),
    path("first/<str:key>.svg", library.first_picture, name="first-picture"),
    path("find/", ways.search, name="find"),
    path("find/<str:key>/", ways.way, name="way"),
    path("find/<str:key>/keep/", ways.keep, name="way-keep"),
    path("<slug:procedure>/", page.storyboard, name="open"),
    path("<slug:procedure>/proof/", page.proof, name="proof"),
    path("<slug:procedure>/mistakes/", mistakes.mistakes, name="mistakes"),
    path("<slug:procedure>/mistakes/<int:number>/", mistakes.mistake, name="mistake"),
    path("<slug:procedure>/sheets/", sheets.sheets, name="sheets"),
    path("<slug:procedure>/sheets/<str:sheet>-<str:paper>.pdf", sheets.sheet, name="sheet"),
]

"""Addresses of procedures."""

from django.urls import path

from ropewright.web.procedures.views import (
    editor,
    files,
    library,
    mistakes,
    page,
    sheets,
    starter,
    versions,
    ways,
)

app_name = "procedures"
urlpatterns = [
    path("", library.library, name="library"),
    path("first/<str:key>.svg", library.first_picture, name="first-picture"),
    path("new/", starter.start, name="start"),
    path("upload/", starter.upload, name="upload"),
    path("live/", editor.live, name="live"),
    path("steps/", editor.steps, name="tables"),
    path("find/", ways.search, name="find"),
    path("find/<str:key>/", ways.way, name="way"),
    path("find/<str:key>/keep/", ways.keep, name="way-keep"),
    path("<slug:procedure>/", page.storyboard, name="open"),
    path("<slug:procedure>/proof/", page.proof, name="proof"),
    path("<slug:procedure>/mistakes/", mistakes.mistakes, name="mistakes"),
    path("<slug:procedure>/mistakes/<int:number>/", mistakes.mistake, name="mistake"),
    path("<slug:procedure>/sheets/", sheets.sheets, name="sheets"),
    path("<slug:procedure>/sheets/<str:sheet>-<str:paper>.pdf", sheets.sheet, name="sheet"),
    path("<slug:procedure>/sheets/<str:sheet>-<str:paper>/", sheets.waits, name="sheet-waits"),
    path("<slug:procedure>/versions/", versions.versions, name="versions"),
    path("<slug:procedure>/versions/<int:number>/", versions.version, name="version"),
    path("<slug:procedure>/differences/", versions.differences, name="differences"),
    path("<slug:procedure>/text/", files.text, name="text"),
    path("<slug:procedure>/put-away/", files.put_away, name="put-away"),
    path("<slug:procedure>/bring-back/", files.bring_back, name="bring-back"),
    path("<slug:procedure>/edit/", editor.edit, name="edit"),
    path("<slug:procedure>/edit/save/", editor.save_text, name="save"),
    path("<slug:procedure>/edit/beside/<int:number>/", editor.beside, name="beside"),
]

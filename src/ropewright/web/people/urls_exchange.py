"""Addresses of what goes in and out of the roster, and of the documents of people."""

from django.urls import URLPattern, path

from ropewright.web.people.views import documents
from ropewright.web.people.views import exchange as tables

exchange: list[URLPattern] = [
    path("table/", tables.export, name="export"),
    path("table/in/", tables.send, name="import"),
    path("table/in/<uuid:upload>/", tables.look, name="import-look"),
    path("table/in/<uuid:upload>/choose/", tables.choose, name="import-choose"),
    path("table/in/<uuid:upload>/take/", tables.take, name="import-take"),
    path("table/in/<uuid:upload>/drop/", tables.drop, name="import-drop"),
    path("table/in/<uuid:upload>/wrong/", tables.wrong, name="import-wrong"),
    path("<int:person>/documents/add/", documents.add, name="document-add"),
    path("documents/<int:document>/", documents.document, name="document"),
    path("documents/<int:document>/withdraw/", documents.withdraw, name="document-withdraw"),
]

"""Addresses of what goes in and out as files: tables and documents of gear."""

from django.urls import URLPattern, path

from ropewright.web.gear.views import documents, exchange

urlpatterns: list[URLPattern] = [
    path("table/", exchange.export, name="export"),
    path("table/in/", exchange.send, name="import"),
    path("table/in/<uuid:upload>/", exchange.look, name="import-look"),
    path("table/in/<uuid:upload>/choose/", exchange.choose, name="import-choose"),
    path("table/in/<uuid:upload>/take/", exchange.take, name="import-take"),
    path("table/in/<uuid:upload>/drop/", exchange.drop, name="import-drop"),
    path("table/in/<uuid:upload>/wrong/", exchange.wrong, name="import-wrong"),
    path("<int:item>/documents/add/", documents.add, name="document-add"),
    path(
        "inspections/<int:inspection>/documents/add/",
        documents.add_to_inspection,
        name="document-add-inspection",
    ),
    path("documents/<int:document>/", documents.document, name="document"),
    path("documents/<int:document>/withdraw/", documents.withdraw, name="document-withdraw"),
]

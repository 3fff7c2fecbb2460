"""Addresses of rigs. Those with a fixed word come first: a rig never has such a name (`names`)."""

from django.urls import path

from ropewright.web.rigs import urls_edit
from ropewright.web.rigs.views import compare, files, library, page, versions, whatif

app_name = "rigs"
urlpatterns = [
    path("", library.library, name="library"),
    path("compare/", compare.compare, name="compare"),
    path("upload/", files.upload, name="upload"),
    *urls_edit.urlpatterns,
    path("<slug:rig>/", page.open_rig, name="open"),
    path("<slug:rig>/listed/", library.card, name="card"),
    path("<slug:rig>/small.svg", library.small, name="small"),
    path("<slug:rig>/versions/", versions.versions, name="versions"),
    path("<slug:rig>/versions/<int:number>/", page.open_version, name="version"),
    path("<slug:rig>/versions/<int:number>/crew/", page.crew, name="crew"),
    path("<slug:rig>/versions/<int:number>/take-up/", versions.take_up, name="take-up"),
    path("<slug:rig>/what-if/", whatif.what_if, name="what-if"),
    path("<slug:rig>/what-if/text/", whatif.changed_text, name="what-if-text"),
    path("<slug:rig>/what-if/figures/", whatif.figures, name="what-if-figures"),
    path("<slug:rig>/differences/", versions.differences, name="differences"),
    path("<slug:rig>/card.pdf", files.card_paper, name="card-pdf"),
    path("<slug:rig>/picture.<slug:ending>", files.picture, name="picture"),
    path("<slug:rig>/text/", files.text, name="text"),
    path("<slug:rig>/put-away/", files.put_away, name="put-away"),
    path("<slug:rig>/bring-back/", files.bring_back, name="bring-back"),
]

"""Addresses of people."""

from django.urls import URLPattern, path

from ropewright.web.people.urls_exchange import exchange
from ropewright.web.people.views import held, person, roster

app_name = "people"
urlpatterns: list[URLPattern] = [
    path("", roster.roster, name="roster"),
    path("running-out/", roster.running_out_soon, name="running-out"),
    path("add/", person.add, name="add"),
    path("<int:person>/", person.person, name="person"),
    path("<int:person>/change/", person.change, name="change"),
    path("<int:person>/active/", person.active, name="active"),
    path("<int:person>/history/", person.history, name="history"),
    path("<int:person>/prerequisites/add/", held.add_prerequisite, name="add-prerequisite"),
    path("prerequisites/<int:prerequisite>/", held.change_prerequisite, name="change-prerequisite"),
    path("prerequisites/<int:prerequisite>/remove/", held.remove_prerequisite, name="remove-prerequisite"),
    path("<int:person>/skills/add/", held.add_skill, name="add-skill"),
    path("skills/<int:skill>/", held.change_skill, name="change-skill"),
    path("skills/<int:skill>/remove/", held.remove_skill, name="remove-skill"),
    *exchange,
]

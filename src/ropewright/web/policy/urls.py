"""Addresses of policy."""

from django.urls import path

from ropewright.web.policy.views import changing, reading

app_name = "policy"
urlpatterns = [
    path("", reading.current, name="current"),
    path("change/", changing.change, name="change"),
    path("versions/", reading.versions, name="versions"),
    path("versions/<int:policy>/", reading.version, name="version"),
    path("versions/<int:policy>/take-up/", changing.take_up, name="take-up"),
]

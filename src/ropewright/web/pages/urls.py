"""Addresses of the shell: today, health, and what makes the app installable."""

from django.urls import path

from ropewright.web.pages import views

app_name = "pages"
urlpatterns = [
    path("", views.front, name="front"),
    path("today/", views.today, name="today"),
    path("health", views.health, name="health"),
    path("offline/", views.offline, name="offline"),
    path("manifest.webmanifest", views.manifest, name="manifest"),
    path("worker.js", views.worker, name="worker"),
]

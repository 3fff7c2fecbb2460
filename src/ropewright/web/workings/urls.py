"""Addresses of what is being worked out."""

from django.urls import path

from ropewright.web.workings import views

app_name = "workings"
urlpatterns = [
    path("<str:key>/", views.working, name="working"),
    path("<str:key>/again/", views.retry, name="retry"),
]

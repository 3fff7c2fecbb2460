"""Addresses of accounts: in, out, the first account, one's own page, invitations."""

from django.contrib.auth.views import LogoutView
from django.urls import path

from ropewright.web.access import open_to_all
from ropewright.web.accounts import views

app_name = "accounts"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-out/", open_to_all(LogoutView.as_view()), name="sign-out"),
    path("first/", views.first, name="first"),
    path("me/", views.me, name="me"),
]

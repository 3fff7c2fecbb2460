"""Addresses of planning."""

from django.urls import path

from ropewright.web.planning import views

app_name = "planning"
urlpatterns = [
    path("", views.plans, name="plans"),
    path("new/", views.new, name="new"),
    path("<int:plan>/", views.open_plan, name="open"),
    path("<int:plan>/change/", views.change, name="change"),
    path("<int:plan>/give-out/", views.give_items, name="give-out"),
    path("<int:plan>/pick-list/", views.pick_list_page, name="pick-list"),
    path("<int:plan>/pick-list.pdf", views.pick_list_paper, name="pick-list-pdf"),
]

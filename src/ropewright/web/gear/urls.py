"""Addresses of gear."""

from django.urls import URLPattern, URLResolver, include, path

from ropewright.web.gear.views import (
    due,
    events,
    inspecting,
    issuing,
    items,
    labels,
    lists,
    places,
    states,
    using,
)

app_name = "gear"
urlpatterns: list[URLPattern | URLResolver] = [
    path("", lists.items, name="list"),
    path("add/", items.add_item, name="add"),
    path("<int:item>/", items.item_page, name="item"),
    path("<int:item>/change/", items.change_item, name="change"),
    path("<int:item>/cut/", items.cut_item, name="cut"),
    path("<int:item>/quarantine/", states.quarantine, name="quarantine"),
    path("<int:item>/retire/", states.retire, name="retire"),
    path("inspect/", inspecting.inspect, name="inspect"),
    path("inspections/<int:inspection>/", inspecting.inspection_page, name="inspection"),
    path("use/", using.add_use, name="use"),
    path("use/<int:use>/correct/", using.correct_use, name="use-correct"),
    path("out/", issuing.out, name="out"),
    path("out/new/", issuing.give_out, name="give-out"),
    path("out/<int:issue>/", issuing.issue_page, name="issue"),
    path("out/<int:issue>/back/", issuing.take_back, name="take-back"),
    path("out/<int:issue>/more/", issuing.add_more, name="add-more"),
    path("events/", events.events, name="events"),
    path("events/new/", events.new_event, name="event-new"),
    path("events/<int:event>/", events.event_page, name="event"),
    path("due/", due.due, name="due"),
    path("calendar/", due.calendar_addresses, name="calendar"),
    path("calendar/<int:token>/revoke/", due.revoke_address, name="calendar-revoke"),
    path("calendar/<str:secret>/due.ics", due.calendar_feed, name="calendar-feed"),
    path("labels/", labels.labels, name="labels"),
    path("labels/labels.pdf", labels.labels_file, name="labels-file"),
    path("places/", places.places, name="places"),
    path("places/add/", places.add_place, name="place-add"),
    path("places/<int:place>/", places.change_place, name="place"),
    path("kits/add/", places.add_kit, name="kit-add"),
    path("kits/<int:kit>/", places.change_kit, name="kit"),
    path("", include("ropewright.web.gear.urls_exchange")),
]

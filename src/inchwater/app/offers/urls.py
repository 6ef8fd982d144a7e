"""Addresses of a visit's options, and of the firm's prices."""

from __future__ import annotations

from django.urls import include, path

from inchwater.app.offers import views

_of_one = [
    path("", views.options, name="options"),
    path("picture/", views.picture, name="frontier_picture"),
    path("prices/", views.prices, name="prices"),
    path("accept/", views.accept, name="accept"),
]

urlpatterns = [path("visits/<uuid:visit_id>/options/", include(_of_one))]

"""Addresses of a visit's options, and of the firm's prices."""

from __future__ import annotations

from django.urls import include, path

from inchwater.app.offers import views, wish_views

_of_one = [
    path("", views.options, name="options"),
    path("picture/", views.picture, name="frontier_picture"),
    path("prices/", views.prices, name="prices"),
    path("accept/", views.accept, name="accept"),
]

_wishes = [
    path("", wish_views.wishes, name="wishes"),
    path("wish/", wish_views.wish, name="wish"),
    path("preset/", wish_views.preset, name="preset"),
]

urlpatterns = [
    path("visits/<uuid:visit_id>/options/", include(_of_one)),
    path("visits/<uuid:visit_id>/wishes/", include(_wishes)),
]

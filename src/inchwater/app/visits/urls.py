"""Addresses of the visits: every page of one has its id in front."""

from __future__ import annotations

from django.urls import include, path

from inchwater.app.visits import field_views, next_views, pictures, views

_of_one = [
    path("", views.visit, name="visit"),
    path("say/", views.say, name="say"),
    path("reading/", views.reading, name="reading"),
    path("findings/", views.findings, name="findings"),
    path("facts/", views.facts, name="facts"),
    path("what-if/", views.what_if, name="what_if"),
    path("test-points/", views.test_points, name="test_points"),
    path("job.json", views.job, name="job"),
    path("fields/<slug:name>/", field_views.field, name="field"),
    path("name/", views.name, name="name"),
    path("close/", views.close, name="close"),
    path("narrowed/", field_views.narrowed, name="narrowed"),
    path("next-reading/", next_views.next_reading, name="next_reading"),
    path("pictures/<slug:name>/", pictures.picture, name="picture"),
]

urlpatterns = [
    path("", views.home, name="home"),
    path("visits/new/", views.new, name="new"),
    path("visits/upload/", views.upload, name="upload"),
    path("visits/<uuid:visit_id>/", include(_of_one)),
]

"""Addresses of the practice rounds."""

from __future__ import annotations

from django.urls import include, path

from inchwater.app.practice import views

_of_one = [
    path("", views.house, name="practice_house"),
    path("act/", views.act, name="practice_act"),
    path("tool/", views.tool, name="practice_tool"),
    path("visit/", views.visit, name="practice_visit"),
    path("job.json", views.job, name="practice_job"),
    path("round.json", views.document, name="practice_document"),
]

urlpatterns = [
    path("rehearse/", views.practice, name="practice"),
    path("rehearse/new/", views.new, name="practice_new"),
    path("rehearse/open/", views.upload, name="practice_open"),
    path("rehearse/<uuid:round_id>/", include(_of_one)),
]

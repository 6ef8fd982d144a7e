"""Addresses of a visit's work, and of the script that answers for it without signal."""

from __future__ import annotations

from django.urls import include, path

from inchwater.app.work import views

_of_one = [
    path("", views.work, name="work"),
    path("records/", views.records, name="work_records"),
]

urlpatterns = [
    path("visits/<uuid:visit_id>/work/", include(_of_one)),
    path("work-worker.js", views.worker, name="work_worker"),
]

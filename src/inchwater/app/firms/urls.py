"""Addresses of the firm's and the person's own affairs."""

from __future__ import annotations

from django.urls import path

from inchwater.app.firms import views

urlpatterns = [path("settings/", views.settings, name="settings")]

"""The application ``firms`` as Django knows it."""

from django.apps import AppConfig


class FirmsConfig(AppConfig):
    """``inchwater.app.firms``, labelled ``firms`` in the database."""

    name = "inchwater.app.firms"
    label = "firms"

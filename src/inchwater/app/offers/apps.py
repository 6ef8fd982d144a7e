"""The application ``offers`` as Django knows it."""

from django.apps import AppConfig


class OffersConfig(AppConfig):
    """``inchwater.app.offers``, labelled ``offers`` in the database."""

    name = "inchwater.app.offers"
    label = "offers"

"""The ASGI application that uvicorn serves."""

from __future__ import annotations

import os

from django.core.asgi import get_asgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inchwater.app.settings")

application = get_asgi_application()

"""Files that come with a form, and documents that go out as files."""

from __future__ import annotations

import json
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse

from inchwater.errors import InputError


def sent(request: HttpRequest, field: str, where: str, right: str) -> UploadedFile[Any]:
    """The file that a form sent in a field; InputError if it sent none."""
    file = request.FILES.get(field)
    if file is None:
        raise InputError(
            where=where,
            came="no file",
            right=right,
            do="Choose the file, then send it.",
        )
    return file


def to_keep(name: str, document: Any) -> HttpResponse:
    """A document of plain values as a JSON file of that name, to be kept."""
    text = json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False)
    response = HttpResponse(text + "\n", content_type="application/json")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response

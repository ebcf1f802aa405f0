"""What a browser may keep: of pages nothing, of files a copy that it asks about each time.

A tablet in the workshop is passed on, and “back” after signing out must show nobody's instrument.
It also means that a page is made anew by “back”, with a token of its own for each form.
"""

from __future__ import annotations

import hashlib
from io import BytesIO
from pathlib import Path

from django.http import FileResponse, HttpRequest
from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response

from repairs.screens.middleware import Answer

OF_PAGES, OF_FILES = "private, no-store", "private, no-cache"


class PrivateMiddleware:
    """Behind what serves the static files, which are nobody's and may be kept for a year."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        answer: HttpResponseBase = self.get_response(request)
        if isinstance(answer, FileResponse) and answer.status_code == 200:
            return _revalidated(request, answer)
        if not answer.has_header("Cache-Control"):
            answer["Cache-Control"] = OF_PAGES
        return answer


def _revalidated(request: HttpRequest, answer: FileResponse) -> HttpResponseBase:
    if not answer.has_header("Cache-Control"):
        answer["Cache-Control"] = OF_FILES
    mark = _mark_of(answer)
    # Without one, and where nothing may be kept, it is sent whole.
    if mark is None or "no-store" in answer["Cache-Control"]:
        return answer
    answer["ETag"] = mark
    # A copy that is still right is said to be, and the file closed.
    said = get_conditional_response(request, etag=mark)
    if said is None or said.status_code != 304:
        return answer
    for name in ("ETag", "Cache-Control"):
        said[name] = answer[name]
    answer.close()
    return said


def _mark_of(answer: FileResponse) -> str | None:
    """Of the name in the store, which is the hash of the content, and of size and time besides: a
    file that rotted is another one."""
    stream = answer.file_to_stream
    if isinstance(stream, BytesIO):  # a paper, held against its hash on its way out
        return f'"{hashlib.sha256(stream.getbuffer()).hexdigest()[:32]}"'
    name = getattr(stream, "name", None)
    if not isinstance(name, str):
        return None
    known = Path(name).stat()
    text = f"{name}\x1f{known.st_size}\x1f{known.st_mtime_ns}"
    return f'"{hashlib.sha256(text.encode(errors="replace")).hexdigest()[:32]}"'

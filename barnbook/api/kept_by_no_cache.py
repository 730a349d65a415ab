"""What the house says of the book is kept by nothing between it and the phone (RFC 9111, section 5.2.2.5).

The phone asks with `no-store` itself; a browser's tab, a proxy of the network or another program does not, and refusals
such as 404 may be kept by themselves (RFC 9110, section 15.1).
"""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest
from django.http.response import HttpResponseBase

PREFIX = "/api/"


def no_store(get_response: Callable[[HttpRequest], HttpResponseBase]) -> Callable[[HttpRequest], HttpResponseBase]:
    """The middleware: answers of the wire say `no-store`, unless they say something of it already."""

    def middleware(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        if request.path.startswith(PREFIX):
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    return middleware

"""What a page's scripts fetch by name, beside Streamlit's own channel: pictures and packed cups.

A name holds a hash of what lies under it, so a browser may keep it for good. Things are made only
when they are asked for, so that a page need not wait for what is not looked at.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import BaseRoute, Route

from mockup.errors import MockupError
from mockup.render.web.parcel import Parcel

__all__ = ["TRAY", "Tray", "tray_routes"]

_MOST = 96  # entries of a kind; a page names some dozen
_HOSTS = ("127.0.0.1", "localhost")
_MOST_KEYS = 20_000  # bytes of the list of keys that a page holds

T = TypeVar("T")


@dataclass(slots=True)
class _Entry(Generic[T]):
    """Something that is made once, by whoever asks first; the others wait."""

    make: Callable[[], T] | None
    made: T | None = None
    lock: threading.Lock = field(default_factory=threading.Lock)

    def get(self) -> T:
        with self.lock:
            if self.make is not None:
                self.made = self.make()
                self.make = None
            assert self.made is not None
            return self.made


class _Row(Generic[T]):
    """Entries by name, the oldest of which go when there are too many."""

    def __init__(self) -> None:
        self._entries: OrderedDict[str, _Entry[T]] = OrderedDict()
        self._lock = threading.Lock()

    def put(self, name: str, make: Callable[[], T]) -> None:
        with self._lock:
            if name in self._entries:
                self._entries.move_to_end(name)
                return
            self._entries[name] = _Entry(make)
            while len(self._entries) > _MOST:
                self._entries.popitem(last=False)

    def find(self, name: str) -> _Entry[T] | None:
        with self._lock:
            return self._entries.get(name)


class Tray:
    """Pictures as PNG, and parcels of cups."""

    def __init__(self) -> None:
        self.pictures: _Row[bytes] = _Row()
        self.parcels: _Row[Parcel] = _Row()

    def put_picture(self, name: str, make: Callable[[], bytes]) -> str:
        """Lay a picture out under `name`, unless it lies there; give the path to fetch."""
        self.pictures.put(name, make)
        return f"/tray/picture/{name}.png"

    def put_parcel(self, name: str, make: Callable[[], Parcel]) -> str:
        """Lay a parcel out under `name`, unless it lies there; give the path to fetch."""
        self.parcels.put(name, make)
        return f"/tray/parcel/{name}"


TRAY = Tray()  # the server and its pages' scripts share one process, and this


def tray_routes() -> list[BaseRoute]:
    """The routes that the tray is fetched by."""
    return [
        Route("/tray/picture/{name:path}.png", _picture),
        Route("/tray/parcel/{name}", _parcel, methods=["POST"]),
    ]


async def _picture(request: Request) -> Response:
    entry = TRAY.pictures.find(request.path_params["name"])
    if entry is None or not _ours(request):
        return _missing()
    try:
        data = await run_in_threadpool(entry.get)
    except MockupError as error:
        return PlainTextResponse(str(error), 500)
    headers = {"Cache-Control": "private, max-age=86400, immutable"}
    return Response(data, media_type="image/png", headers=headers)


async def _parcel(request: Request) -> Response:
    """The parcel, without the sections whose keys the page tells, line by line."""
    entry = TRAY.parcels.find(request.path_params["name"])
    told = await request.body()
    if entry is None or not _ours(request) or len(told) > _MOST_KEYS:
        return _missing()
    held = frozenset(told.decode("ascii", "replace").split())
    try:
        data = await run_in_threadpool(lambda: entry.get().to_bytes(held))
    except MockupError as error:
        return PlainTextResponse(str(error), 500)
    headers = {"Cache-Control": "no-store"}
    return Response(data, media_type="application/octet-stream", headers=headers)


def _ours(request: Request) -> bool:
    """Whether the page is of this machine, not one that a foreign name leads here."""
    return request.url.hostname in _HOSTS


def _missing() -> Response:
    return PlainTextResponse("No longer here", 404)

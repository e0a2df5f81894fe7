"""Pictures and parcels that a page's scripts fetch by name, beside Streamlit's own channel.

A name holds a hash of what is in it, so a browser may keep it for good. Most are made only when
they are asked for, so that a page need not wait for what is not looked at.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import BaseRoute, Route

__all__ = ["TRAY", "Tray", "tray_routes"]

_MOST = 96  # entries; a page names some dozen
_HOSTS = ("127.0.0.1", "localhost")


@dataclass(slots=True)
class _Entry:
    kind: str
    make: Callable[[], bytes] | None
    data: bytes = b""
    lock: threading.Lock = field(default_factory=threading.Lock)

    def bytes(self) -> bytes:
        """Made once, by whoever comes first; the others wait."""
        with self.lock:
            if self.make is not None:
                self.data = self.make()
                self.make = None
            return self.data


class Tray:
    """Bytes by name, the oldest of which go when there are too many."""

    def __init__(self) -> None:
        self._entries: OrderedDict[str, _Entry] = OrderedDict()
        self._lock = threading.Lock()

    def put(self, name: str, kind: str, make: Callable[[], bytes]) -> str:
        """Lay `make`'s bytes out under `name`, unless they lie there; give the path to fetch.

        Parameters
        ----------
        name
            Holds a hash of what `make` will give.
        kind
            Media type.
        """
        with self._lock:
            if name in self._entries:
                self._entries.move_to_end(name)
            else:
                self._entries[name] = _Entry(kind, make)
                while len(self._entries) > _MOST:
                    self._entries.popitem(last=False)
        return f"/tray/{name}"

    def find(self, name: str) -> _Entry | None:
        """What lies under `name`."""
        with self._lock:
            return self._entries.get(name)


TRAY = Tray()  # the server and its pages' scripts share one process, and this


def tray_routes() -> list[BaseRoute]:
    """The route that the tray is fetched by."""
    return [Route("/tray/{name:path}", _serve)]


async def _serve(request: Request) -> Response:
    if request.url.hostname not in _HOSTS:  # a foreign page that has renamed this machine
        return PlainTextResponse("Not for other names", 403)
    entry = TRAY.find(request.path_params["name"])
    if entry is None:
        return PlainTextResponse("No longer here", 404)
    data = await run_in_threadpool(entry.bytes)
    headers = {"Cache-Control": "private, max-age=86400, immutable"}
    return Response(data, media_type=entry.kind, headers=headers)

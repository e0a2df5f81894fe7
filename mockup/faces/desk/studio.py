"""The one render process of the desk, shared by all tabs; one picture at a time."""

import threading

from mockup.pipeline import Cup, Shot, png, render_cup
from mockup.progress import Progress
from mockup.render.process import RenderProcess

__all__ = ["STUDIO", "Studio"]


class Studio:
    """Draws stills in the render process, which starts with the first and is kept warm."""

    def __init__(self) -> None:
        self._renderer = RenderProcess()
        self._lock = threading.Lock()

    def still(self, cup: Cup, shot: Shot, progress: Progress = lambda share, what: None) -> bytes:
        """A picture of the cup in its design's light, as PNG.

        `progress` may raise to stop the picture; the process is then ended, for it is in the
        midst of it.
        """
        with self._lock:
            try:
                picture = render_cup(cup, shot, self._renderer, progress=progress)
            except BaseException:
                self._renderer.stop()
                raise
        return png(picture.rgba8_srgb)


STUDIO = Studio()

"""The render process: one warm process whose main thread owns the GL context.

A plotter that is made in one thread and used in another draws nothing, and on macOS a window off
the main thread ends the process; so every picture is drawn on the main thread of a process of its
own, kept warm between pictures. A process that dies is replaced and the request repeated once.
"""

import multiprocessing
import signal
import sys
from dataclasses import dataclass
from multiprocessing.connection import Connection
from types import TracebackType
from typing import Any

from mockup.errors import MockupError, RenderError
from mockup.progress import Progress
from mockup.render.develop import Picture
from mockup.render.request import CupModel, Request

__all__ = ["RenderProcess"]

_NO_GL = (
    "the render process ended without a picture; most often this machine has no OpenGL",
    "Install Debian's packages libegl1 and libgl1-mesa-dri (software OpenGL), then try again",
)


@dataclass(frozen=True, slots=True)
class _Ask:
    """What goes to the process. The model goes along only when it has changed."""

    model: CupModel | None
    request: Request
    transparent: bool
    keep_linear: bool


class RenderProcess:
    """Draws pictures in a process of its own; use it as a context manager.

    The process starts with the first picture, and `start` starts it ahead of time so that it
    imports and opens its context while the caller compiles.
    """

    def __init__(self) -> None:
        self._process: Any = None
        self._pipe: Connection | None = None
        self._loaded = ""

    def __enter__(self) -> "RenderProcess":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()

    def start(self) -> None:
        """Start the process if it does not run."""
        if self._process is not None and self._process.is_alive():
            return
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs,), daemon=True)
        self._process.start()
        theirs.close()
        self._loaded = ""

    def stop(self) -> None:
        """End the process now; a picture under way is given up."""
        if self._process is not None:
            if self._pipe is not None:
                self._pipe.close()
            self._process.terminate()
            self._process.join()
        self._process, self._pipe, self._loaded = None, None, ""

    def draw(
        self,
        model: CupModel,
        request: Request,
        *,
        transparent: bool = False,
        keep_linear: bool = False,
        progress: Progress = lambda share, what: None,
    ) -> Picture:
        """Draw and develop one picture.

        Raises
        ------
        RenderError
            The process could not draw, twice.
        """
        for attempt in (1, 2):
            self.start()
            try:
                return self._ask(model, request, transparent, keep_linear, progress)
            except (EOFError, ConnectionError, BrokenPipeError):
                self.stop()
                if attempt == 2:
                    problem, remedy = _NO_GL
                    raise RenderError(problem, where="render", remedy=remedy) from None
        raise AssertionError("unreachable")

    def _ask(
        self,
        model: CupModel,
        request: Request,
        transparent: bool,
        keep_linear: bool,
        progress: Progress,
    ) -> Picture:
        assert self._pipe is not None
        news = None if self._loaded == model.key else model
        self._pipe.send(_Ask(news, request, transparent, keep_linear))
        self._loaded = model.key
        while True:
            answer = self._pipe.recv()
            if isinstance(answer, MockupError):
                self._loaded = ""
                raise answer
            if isinstance(answer, Picture):
                return answer
            progress(*answer)


def _serve(pipe: Connection) -> None:
    """Answer requests until the other end closes. Runs on the main thread of the process."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the parent's to handle
    from mockup.render.session import Session  # VTK and pyvista load here only

    session = Session()
    model: CupModel | None = None
    while True:
        try:
            ask = pipe.recv()
        except EOFError:
            return
        try:
            model = ask.model if ask.model is not None else model
            assert model is not None
            pipe.send(
                session.picture(
                    model,
                    ask.request,
                    transparent=ask.transparent,
                    keep_linear=ask.keep_linear,
                    progress=lambda share, what: pipe.send((share, what)),
                )
            )
        except BrokenPipeError:
            sys.exit(0)  # nobody waits for the picture any more
        except MockupError as error:
            pipe.send(error)
        except Exception as error:
            pipe.send(
                RenderError(
                    f"the picture could not be drawn ({type(error).__name__}: {error})",
                    where="render",
                    remedy="Report this with the design as a fault of the program",
                )
            )

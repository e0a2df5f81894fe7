"""A progress bar for work that takes a while, shown to people and not to log files."""

import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import click

from mockup.progress import Progress

__all__ = ["shown_progress"]

_STEPS = 1000


@contextmanager
def shown_progress(*, delay_s: float = 0.5) -> Iterator[Progress]:
    """Give a `Progress` that draws a bar on standard error once `delay_s` have passed.

    Nothing is drawn where standard error is not a terminal.
    """
    if not sys.stderr.isatty():
        yield lambda _share, _doing: None
        return
    start_s = time.monotonic()
    done = 0
    bar: Any = None
    with ExitStack() as open_bar:

        def show(share: float, doing: str) -> None:
            nonlocal bar, done
            if time.monotonic() - start_s < delay_s:
                return
            if bar is None:
                bar = open_bar.enter_context(
                    click.progressbar(
                        length=_STEPS,
                        item_show_func=lambda item: str(item or ""),
                        show_eta=False,
                        file=sys.stderr,
                    )
                )
            now = max(done, round(_STEPS * min(max(share, 0.0), 1.0)))
            bar.update(now - done, doing)
            done = now

        yield show

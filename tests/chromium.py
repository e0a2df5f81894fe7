"""Debian's own Chromium, headless, by way of Playwright."""

from contextlib import contextmanager

from playwright.sync_api import sync_playwright

__all__ = ["SOFTWARE_GL", "launching"]

# WebGL 2 in software; the page round it is put together without OpenGL, which is quicker
SOFTWARE_GL = ("--use-gl=angle", "--use-angle=swiftshader", "--disable-gpu-compositing")


@contextmanager
def launching():
    """Give a function that starts a Chromium with the given flags.

    A process can have one of Playwright's drivers only: the tests share one, see conftest.py.
    """
    with sync_playwright() as driver:
        yield lambda *flags: driver.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox", "--disable-quic", *flags]
        )

"""The desk's server as a process of its own, and pages of it in a browser."""

import re
import socket
import subprocess
import sys
import time
import urllib.request
from contextlib import contextmanager

from playwright.sync_api import expect

__all__ = ["Page", "Server", "served"]

MAIN = "from mockup.faces.cli import main; main()"
PATIENCE_MS = 120_000


class Server:
    """A desk on a port of its own; `kill` ends it as a power cut would."""

    def __init__(self, store):
        self.store = store
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.process = None
        self.folder = store.parent / "where it was started"
        self.folder.mkdir(exist_ok=True)
        self.log = store.with_suffix(".log")

    @property
    def address(self):
        """Where its pages are."""
        return f"http://127.0.0.1:{self.port}"

    def start(self):
        """Start it, and wait until it answers."""
        words = ["desk", "--no-browser", "--port", str(self.port), "--store", str(self.store)]
        with self.log.open("a") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-c", MAIN, *words],
                stdout=log,
                stderr=subprocess.STDOUT,
                cwd=self.folder,
            )
        for _ in range(600):
            assert self.process.poll() is None, self.log.read_text()
            try:
                with urllib.request.urlopen(f"{self.address}/_stcore/health", timeout=1):
                    return
            except OSError:
                time.sleep(0.1)
        raise AssertionError("the desk did not come up")

    def kill(self):
        """End it as a power cut would."""
        self.process.kill()
        self.process.wait()

    def stop(self):
        """End it as Ctrl-C does."""
        self.process.terminate()
        self.process.wait(timeout=30)


@contextmanager
def served(store):
    """A desk over the store at this path."""
    server = Server(store)
    server.start()
    try:
        yield server
    finally:
        server.kill()
    said = server.log.read_text()
    assert "Traceback" not in said, said


class Page:
    """One tab, worked as a maker would: by labels, not by the page's inner names.

    With `device_scale` below 1 the screen is as wide and high, of fewer pixels: the cup is drawn
    sooner where how it looks is not asked.
    """

    def __init__(self, browser, server, *, width=1440, height=900, device_scale=1.0):
        self.server = server
        self.page = browser.new_page(
            viewport={"width": width, "height": height}, device_scale_factor=device_scale
        )
        self.page.set_default_timeout(PATIENCE_MS)
        self.faults, self.strangers = [], []
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.on("request", self._note)
        expect.set_options(timeout=PATIENCE_MS)

    def _note(self, request):
        if not re.match(rf"(http|ws)://127\.0\.0\.1:{self.server.port}/|data:|blob:", request.url):
            self.strangers.append(request.url)

    def goto(self, path="/"):
        """Open a page of the desk."""
        self.page.goto(self.server.address + path)
        self.page.get_by_text("Tumbler mock-up", exact=True).wait_for()

    def turn_to(self, title):
        """Follow a link of the head."""
        self.page.get_by_role("link", name=title, exact=True).click()

    def button(self, name):
        """A button by its words."""
        return self.page.get_by_role("button", name=name)

    def field(self, label):
        """A field by its label."""
        return self.page.get_by_label(label, exact=True)

    def fill(self, label, text):
        """Type into a field and leave it."""
        with self.saving():
            self.field(label).fill(text)
            self.field(label).press("Tab")

    def choose(self, label, option):
        """Choose from a list."""
        with self.saving():
            self.page.get_by_role("combobox", name=re.compile(f"{label}$")).click()
            self.page.get_by_role("option", name=option).click()

    @contextmanager
    def saving(self):
        """Wait until what is done in the block has been saved."""
        before = self.step()
        yield
        expect(self.page.locator(".saved")).not_to_have_attribute("data-step", str(before))
        self.quiet()

    def step(self):
        """Number of the step that the page shows as saved."""
        return int(self.page.locator(".saved").get_attribute("data-step"))

    def quiet(self):
        """Wait until the page's script has run."""
        self.page.wait_for_function(
            "document.querySelector('[data-testid=stApp]')?.dataset.testScriptState"
            " === 'notRunning'"
        )

    def settled(self):
        """Wait until what the page no longer shows is gone too: it is dimmed before it goes."""
        self.quiet()
        expect(self.page.locator("[data-stale=true]")).to_have_count(0)
        self.page.wait_for_function(
            "!document.getAnimations().some((one) => one.transitionProperty === 'opacity')"
        )

    def bands_are(self, *titles):
        """Wait until the cut through the wall shows these layers, from the outside in."""
        expect(self.page.locator(".cut .title")).to_have_text([*titles, "Steel"])

    def pick(self, title):
        """Pick a layer in the cut."""
        self.page.locator(".cut .band", has_text=title).click()
        self.quiet()

    def lay(self, kind, files=None):
        """Lay a layer of that kind over the picked one."""
        with self.saving():
            self.button("Lay a layer").click()
            if files is None:
                self.page.get_by_role("button", name=kind, exact=True).click()
            else:
                chooser = self.page.locator("[data-testid=stFileUploader]", has_text=kind)
                chooser.locator("input[type=file]").set_input_files(files)
        self.page.keyboard.press("Escape")
        self.quiet()

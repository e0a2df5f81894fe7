"""A page with the browser's viewer in it."""

import io

import numpy as np
from PIL import Image

from mockup.files import source_text

__all__ = ["Desk"]

ADDRESS = "http://cup.test/"
PAGE = """<!doctype html><meta charset="utf-8"><title>Cup</title>
<body style="margin:0"><div id="cup" style="width:{width}px;height:{height}px"></div>"""
SHOW = """async ([options, packed]) => {
  const { showCup } = await import("/cup.js");
  window.told = { picks: [], views: [], states: [], troubles: [] };
  window.shown = showCup(document.getElementById("cup"), null, {
    ...options,
    onPick: (place) => told.picks.push(place),
    onView: (view) => told.views.push(view),
    onState: (state) => told.states.push(state),
    onTrouble: (error) => told.troubles.push(String(error)),
  });
  if (packed) await shown.update(await (await fetch("/parcel")).arrayBuffer());
}"""


class Desk:
    """One page that shows a cup; what it asks for is answered from here, without a network."""

    def __init__(self, context, width, height):
        self.page = context.new_page()
        self.parcel, self.faults = b"", []
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        html = PAGE.format(width=width, height=height).encode()
        script = source_text("mockup.render.web", "cup.js").encode()

        def answer(route):
            body, kind = {
                ADDRESS: (html, "text/html"),
                ADDRESS + "cup.js": (script, "text/javascript"),
                ADDRESS + "parcel": (self.parcel, "application/octet-stream"),
            }[route.request.url]
            route.fulfill(body=body, content_type=kind)

        self.page.route(ADDRESS + "**", answer)
        self.page.goto(ADDRESS)

    def show(self, parcel=b"", **options):
        """Show a cup in place of what was shown; kept as `shown` in the page."""
        self.parcel = parcel
        self.page.evaluate("window.shown?.dispose()")
        self.page.evaluate(SHOW, [options, bool(parcel)])

    def update(self, parcel):
        """Carry a parcel to the cup that is shown."""
        self.parcel = parcel
        self.page.evaluate("async () => shown.update(await (await fetch('/parcel')).arrayBuffer())")

    def ask(self, script):
        """Value of an expression in the page; promises are waited for, at most two minutes."""
        late = f"new Promise((_, fail) => setTimeout(fail, 120000, Error({script!r})))"
        return self.page.evaluate(f"async () => Promise.race([{script}, {late}])")

    def settle(self):
        """Wait until the still's own quality is on screen."""
        self.ask("shown.settled()")

    def shot(self):
        """What is on screen: (height, width, 3) uint8."""
        return np.asarray(Image.open(io.BytesIO(self.page.screenshot())).convert("RGB"))

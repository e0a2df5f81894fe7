"""How long the desk takes from a control's change to the cup that shows it.

    python -m tests.bench.desk

Measured in the page: from the press to the parcel's arrival (what software OpenGL in this browser
does not slow down), and on to the first pixel of the new frame. Print the load with the figures:
other work on the machine is in them.
"""

import os
import statistics
import sys
import tempfile
from pathlib import Path

from tests.chromium import SOFTWARE_GL, launching
from tests.faces.desk.server import Page, served

RUNS = 7
WATCH = """() => {
  window.pressed = 0;
  for (const kind of ["click", "keydown"])
    window.addEventListener(kind, () => { window.pressed = performance.now(); }, true);
}"""
TIMES = """() => ["parcel-arrived", "parcel-drawn"].map(
  (name) => performance.getEntriesByName(name).at(-1).startTime - window.pressed)"""
BYTES = """() => performance.getEntriesByName("parcel-arrived").at(-1).detail.bytes"""
COUNT = """() => performance.getEntriesByName("parcel-drawn").length"""


def timed(page, act):
    """Seconds to the parcel's arrival and to the first pixel, and the parcel's bytes."""
    page.quiet()
    page.page.wait_for_selector(".sight[data-state=still]")  # nothing is being drawn any more
    before = page.page.evaluate(COUNT)
    act()
    page.page.wait_for_function(f"({COUNT})() > {before}")
    arrived, drawn = (ms / 1000 for ms in page.page.evaluate(TIMES))
    return arrived, drawn, page.page.evaluate(BYTES)


def palettes(page):
    names = ["storm-silver", "kelp-bed", "deep-water", "oxblood"] * RUNS
    for name in names[:RUNS]:
        page.page.get_by_role("combobox", name="Palette").click()
        option = page.page.get_by_role("option", name=name, exact=True)
        yield option.click


def nudges(page):
    page.pick("crew name")
    for n in range(RUNS):
        yield page.page.get_by_role("button", name="↑↓"[n % 2]).click


def fades(page):
    page.pick("sea-glass fade")
    slider = page.page.get_by_role("slider", name="At the lower end")
    for n in range(RUNS):
        yield lambda key=("ArrowLeft", "ArrowRight")[n % 2]: slider.press(key)


def main():
    asked = sys.argv[1:] or ["palettes", "nudges", "fades"]
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder) / "s.sqlite") as server,
        launching() as launch,
        launch(*SOFTWARE_GL) as browser,
    ):
        page = Page(browser, server, width=760, height=620)
        page.goto()
        page.button("Open the demo").click()
        page.page.wait_for_selector(".sight[data-drawn]")
        page.page.evaluate(WATCH)
        for name in asked:
            found = [timed(page, act) for act in globals()[name](page)]
            arrived, drawn, size = map(statistics.median, zip(*found, strict=True))
            worst = max(one[0] for one in found)
            print(
                f"{name:9} median to the parcel {arrived:.2f} s (worst {worst:.2f}),"
                f" to the first pixel {drawn:.2f} s, {size / 1000:.0f} kB, {len(found)} runs"
            )
    print(f"load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()

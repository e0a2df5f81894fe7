"""Draws README's pictures from the demo: run ``.venv/bin/python .pictures/make.py`` and look."""

import io
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image
from playwright.sync_api import Error, sync_playwright

from mockup import pipeline
from mockup.design.read import read_design
from mockup.files import shipped, write_whole
from mockup.render.process import RenderProcess

HERE = Path(__file__).parent
DEMO = shipped("textures", "regatta")
MOST_BYTES = 120_000
OPTIONS = ("deep-water", "mackerel", "lifebuoy", "sea-thrift", "regatta-night")
OPTIONS_PX = 1080
DESK_PORT, DESK_SIZE = 8598, {"width": 1360, "height": 820}
SCALE = ("-scale-to-x", "-1", "-scale-to-y", "560")


def main() -> None:
    """Draw the cup from both sides, options of it, two pages of its proof, and the desk."""
    cup = pipeline.build_cup(read_design(DEMO))
    with RenderProcess() as renderer:

        def view(of: pipeline.Cup, height_px: int, turn_deg: float = 0.0) -> np.ndarray:
            shot = pipeline.Shot(height_px * 7 // 10, height_px, turn_deg=turn_deg, samples=16)
            return pipeline.render_cup(of, shot, renderer).rgba8_srgb

        _save("cup", [view(cup, 680), view(cup, 680, 180.0)])
    _save("options", [_options()])
    _save("proof", _proof_pages())
    _save("desk", [_desk()])


def _options() -> np.ndarray:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "options.png")
        pipeline.options(DEMO, file, palettes=OPTIONS, with_cost=False)
        with Image.open(file) as sheet:
            height = round(sheet.height * OPTIONS_PX / sheet.width)
            return np.asarray(sheet.resize((OPTIONS_PX, height), Image.Resampling.LANCZOS))


def _proof_pages() -> list[np.ndarray]:
    with tempfile.TemporaryDirectory() as folder:
        sheet, pages = Path(folder, "proof.pdf"), Path(folder, "page")
        pipeline.proof(DEMO, sheet)
        subprocess.run(["pdftoppm", "-l", "2", *SCALE, "-png", sheet, pages], check=True)
        found = [np.asarray(Image.open(path)) for path in sorted(Path(folder).glob("page*.png"))]
    return [np.pad(page, ((1, 1), (1, 1), (0, 0)), constant_values=190) for page in found]


def _desk() -> np.ndarray:
    """The desk with the demo on it and one layer picked, in Debian's Chromium."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        words = ["desk", "--no-browser", "--port", str(DESK_PORT), "--store", f"{folder}/s.sqlite"]
        program = Path(sys.executable).with_name("tumbler-mockup")
        with subprocess.Popen([program, *words], stdout=subprocess.DEVNULL) as server:
            flags = ["--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader"]
            browser = driver.chromium.launch(executable_path="/usr/bin/chromium", args=flags)
            page = browser.new_page(viewport=DESK_SIZE)
            page.set_default_timeout(300_000)
            for _ in range(600):
                try:
                    page.goto(f"http://127.0.0.1:{DESK_PORT}")
                    break
                except Error:
                    time.sleep(0.2)
            page.get_by_role("button", name="Open the demo").click()
            page.locator(".cut .band", has_text="crew name").click()
            page.locator(".sight[data-state=still]").wait_for()
            page.get_by_role("heading", name="crew name").wait_for()
            page.mouse.move(5, 5)
            picture = page.screenshot()
            browser.close()
            server.terminate()
    return np.asarray(Image.open(io.BytesIO(picture)).convert("RGB"))


def _save(name: str, pictures: list[np.ndarray]) -> None:
    """Side by side, as the best JPEG that stays within the size."""
    gap = np.full((pictures[0].shape[0], 8, 3), 255, np.uint8)
    row = [part for picture in pictures for part in (picture[..., :3], gap)][:-1]
    for quality in range(92, 40, -4):
        data = io.BytesIO()
        Image.fromarray(np.concatenate(row, axis=1)).save(
            data, "JPEG", quality=quality, optimize=True, progressive=True
        )
        if len(data.getvalue()) <= MOST_BYTES:
            break
    write_whole(HERE / f"{name}.jpg", data.getvalue())


if __name__ == "__main__":
    main()

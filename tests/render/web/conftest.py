"""A page that shows cups, the cups, and a renderer to compare with."""

import shutil

import pytest

from mockup.design.read import read_design
from mockup.files import shipped
from mockup.pipeline.cup import build_cup
from mockup.render.lights import illuminant_of
from mockup.render.process import RenderProcess
from mockup.render.web.parcel import Packer
from mockup.shading.table import foil_quality
from tests.render.web.chromium import Desk
from tests.render.web.cups import FOIL, HEIGHT, RAINBOW, RAINBOW_PALETTE, TAPER, WIDTH


@pytest.fixture(scope="package")
def cups(tmp_path_factory):
    folder = tmp_path_factory.mktemp("designs")
    shutil.copytree(shipped("textures", "regatta", "assets"), folder / "assets")
    made = {"demo": build_cup(read_design(shipped("textures", "regatta")))}
    (folder / "palettes").mkdir()
    (folder / "palettes" / "rainbow.toml").write_text(RAINBOW_PALETTE, "utf-8")
    for name, text in (("foil", FOIL), ("taper", TAPER), ("rainbow", RAINBOW)):
        (folder / "design.toml").write_text(text, "utf-8")
        made[name] = build_cup(read_design(folder))
    return made


@pytest.fixture(scope="package")
def renderer():
    with RenderProcess() as process:
        process.start()
        yield process


@pytest.fixture(scope="package")
def desk(browser):
    """A page that shows cups, one after the other."""
    with browser.new_context() as context:
        yield Desk(context, WIDTH, HEIGHT)


@pytest.fixture(scope="package")
def packed(cups):
    packer = Packer()

    def pack(name, light="softbox"):
        cup = cups[name]
        return packer.pack(
            cup.model,
            cup.blank.wall,
            cup.table(illuminant_of(light)),
            light,
            foil_quality(cup.model.skin, cup.optics()),
        )

    return pack


@pytest.fixture
def front(desk, packed):
    """The cup with foil, at rest at its front."""
    desk.show(packed("foil").to_bytes(), samples=1)
    desk.settle()
    return desk

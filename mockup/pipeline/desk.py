"""What the desk asks for while a cup is being designed: the cup anew, and small pictures of it."""

import io
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.design.blanks import LibraryBlank
from mockup.design.document import Design
from mockup.design.edit import fresh_design
from mockup.design.layers import WrapLayer
from mockup.design.pack import write_pack
from mockup.design.read import find_palettes, read_design
from mockup.design.shelf import read_shelf, shelf_path
from mockup.files import make_folder, shipped, write_whole
from mockup.outputs.flat_picture import BARE_STEEL_RGB8_SRGB, FlatPicture, draw_flat, draw_round
from mockup.outputs.proof_facts import chip_colours, flat_colours
from mockup.outputs.seam_picture import SeamBreak, seam_break
from mockup.pipeline.cup import Cup, Quiet, build_cup, shape_key
from mockup.progress import Progress
from mockup.render.lights import illuminant_of
from mockup.render.web.parcel import Packer, Parcel
from mockup.shading.table import foil_quality
from mockup.skin.reduce import reduced_skin

__all__ = [
    "demo_design",
    "flat_of",
    "keep_shelf",
    "new_design",
    "packed",
    "parcel_of",
    "png",
    "remade_cup",
    "seam_of",
    "strip_of",
    "unpacked",
]


def remade_cup(design: Design, before: Cup | None, *, progress: Progress = Quiet) -> Cup:
    """The cup of `design`; the shapes of `before` are taken over if they are still the same.

    Raises
    ------
    MockupError
        No cup can be made of it: a piece leaves the wall, an asset cannot be read, the light is
        unknown, a swatch cannot be shown.
    """
    light = illuminant_of(design.document.light, where=f"{design.where}: light")
    if before is not None and before.model.key == shape_key(design):
        cup = Cup(design, before.blank, before.model)
    else:
        cup = build_cup(design, progress=progress)
    cup.table(light)  # a swatch that cannot be shown is told now
    return cup


def parcel_of(cup: Cup, packer: Packer) -> Parcel:
    """The cup packed for the browser, in its design's light."""
    light = cup.design.document.light
    return packer.pack(
        cup.model,
        cup.blank.wall,
        cup.table(illuminant_of(light)),
        light,
        foil_quality(cup.model.skin, cup.optics()),
    )


def flat_of(cup: Cup, *, px_per_mm: float) -> FlatPicture:
    """The flat for the screen, drawn quickly, in the swatches' chip colours."""
    colours = flat_colours(cup.design, cup.optics())
    skin = reduced_skin(cup.model.skin, 2)
    return draw_flat(skin, cup.blank.wall, colours, px_per_mm=px_per_mm, sub=1)


def strip_of(cup: Cup, *, width_px: int, height_px: int) -> NDArray[np.uint8]:
    """The wall from all sides at once, the back at either end, in the swatches' chip colours."""
    colours = flat_colours(cup.design, cup.optics())
    skin = reduced_skin(cup.model.skin, 4)
    return draw_round(skin, cup.blank.wall, colours, width_px=width_px, height_px=height_px)


def png(rgb8_srgb: NDArray[np.uint8]) -> bytes:
    """A picture as PNG, packed quickly."""
    file = io.BytesIO()
    Image.fromarray(rgb8_srgb).save(file, "PNG", compress_level=1)
    return file.getvalue()


def packed(design: Design) -> bytes:
    """A design as one file to send or to keep."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "design.tumbler"
        write_pack(design, path)
        return path.read_bytes()


def unpacked(name: str, data: bytes) -> Design:
    """The design in a pack that came as bytes; `name` is what messages call it.

    Raises
    ------
    DesignError
        It is no pack, or the design in it is wrong.
    """
    with TemporaryDirectory() as folder:
        path = Path(folder) / (Path(name).name or "pack")
        path.write_bytes(data)
        return read_design(path)


def demo_design() -> Design:
    """The regatta cup that comes with the program."""
    return read_design(shipped("textures", "regatta"))


def new_design(title: str, blank_name: str) -> Design:
    """A design to start from: a blank of the library under one base coat."""
    blank = LibraryBlank(name=blank_name)
    return fresh_design(title, blank, find_palettes(shipped("palettes")), palette="deep-water")


def keep_shelf(name: str, data: bytes) -> None:
    """Make a file that came as bytes the maker's own shelf, once all of it is found right.

    Raises
    ------
    DesignError
        A key or value in it is wrong; the shelf in use stays.
    """
    with TemporaryDirectory() as folder:
        path = Path(folder) / (Path(name).name or "shelf.toml")
        path.write_bytes(data)
        read_shelf(path)
    make_folder(shelf_path().parent)
    write_whole(shelf_path(), data)


def seam_of(cup: Cup, index: int) -> SeamBreak | None:
    """How the wrap that is layer `index` meets itself; None where nothing of it is left."""
    layer = cup.design.document.layers[index]
    assert isinstance(layer, WrapLayer)
    base = cup.model.skin.base_role
    chips = chip_colours(cup.design) if base is not None else {}
    behind = chips[base] if base is not None else BARE_STEEL_RGB8_SRGB
    return seam_break(cup.model.skin, cup.blank.wall, layer, behind)

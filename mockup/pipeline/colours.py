"""Palettes and colours by themselves: to and from files, out of pictures, and the choice of one."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from mockup.colorimetry.clusters import PictureColour, picture_colours
from mockup.colorimetry.companions import companions, tints
from mockup.colorimetry.oklab import hex_from_oklab
from mockup.colorimetry.srgb import linear_from_hex
from mockup.design.choose import add_palette, choose_palette
from mockup.design.document import Asset, Design
from mockup.design.palette import Palette
from mockup.design.read import read_design
from mockup.design.strict import validate
from mockup.errors import AssetError, DesignError
from mockup.files import read_up_to, write_whole
from mockup.material.dress import colour_list, dressed
from mockup.material.exchange import exchanged, kept_materials, read_exchanged
from mockup.skin.artwork import read_artwork

__all__ = [
    "Taken",
    "choose_palette",
    "colours_of",
    "companions_of",
    "palette_from_file",
    "palette_from_picture",
    "palette_to_file",
    "write_colours",
]

PICTURE_PX = 800  # across; a photo's areas keep their shares, its noise averages out
MOST_PICTURE_BYTES = 64_000_000


@dataclass(frozen=True, slots=True)
class Taken:
    """A palette that was taken in beside a design.

    Attributes
    ----------
    file
        Its file within the design.
    told
        What was kept and what was lost, and why it does not suit the layers if it does not; whole
        sentences.
    """

    palette: Palette
    file: str
    told: tuple[str, ...]


def colours_of(picture: Path, *, most: int = 8) -> tuple[PictureColour, ...]:
    """The colours of a picture or drawing, the largest share first."""
    data = read_up_to(
        picture,
        MOST_PICTURE_BYTES,
        fault=AssetError,
        what="picture",
        one="a picture",
        smaller="Scale the picture down first",
    )
    artwork = read_artwork(Asset(picture.name, data), where=picture.name, width_px=PICTURE_PX)
    return picture_colours(artwork.rgba8_srgb, most=most)


def write_colours(colours: Sequence[PictureColour], output: Path) -> tuple[str, ...]:
    """Write colours as a palette file of `output`'s ending; gives what it cannot hold."""
    palette = colour_list([colour.srgb for colour in colours], output.stem[:80])
    return _written(palette, output)


def companions_of(srgb: str, *, steps: int = 7) -> dict[str, list[str]]:
    """What goes with a colour, ``#rrggbb``, by what it is to it: companions, and its tints."""
    linear = linear_from_hex(srgb)
    found = {**companions(linear), "dark to light": tints(linear, steps)}
    return {name: [hex_from_oklab(oklab) for oklab in several] for name, several in found.items()}


def palette_to_file(path: Path, output: Path, *, palette: str | None = None) -> tuple[str, ...]:
    """Write a palette at hand for a design to a file; gives what it cannot hold."""
    design = read_design(path)
    return _written((design.with_palette(palette) if palette else design).palette, output)


def palette_from_file(
    path: Path, file: Path, *, name: str | None = None, replacing: bool = False
) -> Taken:
    """Take the palette in a file in beside a design.

    A list of colours gets back the materials of the palette at hand that has its name, or else of
    the one in use, wherever a colour is still that material's.
    """
    design, palette = read_design(path), read_exchanged(file)
    known = design.palettes.get(palette.name, design.palette)
    palette, told = kept_materials(palette, known)
    return _taken(path, design, _called(palette, name), told, replacing=replacing)


def palette_from_picture(
    path: Path, picture: Path, *, name: str | None = None, replacing: bool = False
) -> Taken:
    """Take the colours of a picture in as a palette, in the places of the one in use."""
    design = read_design(path)
    colours = [colour.srgb for colour in colours_of(picture, most=len(design.palette.roles))]
    palette = _called(dressed(design.palette, colours, "picture"), name or picture.stem)
    return _taken(path, design, palette, (), replacing=replacing)


def _taken(
    path: Path, design: Design, palette: Palette, told: tuple[str, ...], *, replacing: bool
) -> Taken:
    file = add_palette(path, palette, replacing=replacing)
    try:
        read_design(path).with_palette(palette.name)
    except DesignError as error:
        told = (*told, f"It does not fit {design.document.title} yet: {error.problem}.")
    return Taken(palette, file, told)


def _called(palette: Palette, name: str | None) -> Palette:
    if name is None:
        return palette
    return validate(Palette, {**palette.model_dump(), "name": name}, where="--name")


def _written(palette: Palette, output: Path) -> tuple[str, ...]:
    made = exchanged(palette, output.suffix)
    write_whole(output, made.data)
    return made.lost

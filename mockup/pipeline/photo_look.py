"""A material's look from photos beside a card: bytes in, what was measured and where out."""

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from mockup.colorimetry.oklab import oklab_from_rgb8
from mockup.colorimetry.plain_names import plain_name
from mockup.colorimetry.srgb import rgb8_from_hex
from mockup.design.products import AnyProduct
from mockup.errors import AssetError, PhotoError
from mockup.material.chip import chip_hex
from mockup.outputs.seen_places import Place, outlined, small_picture
from mockup.photo.measure import Setting, measure
from mockup.photo.measured import Measured, Places
from mockup.photo.picture import Photo, open_photo
from mockup.photo.swatch import SHEETS
from mockup.pipeline.cup import Quiet, part
from mockup.progress import Progress
from mockup.store import Store
from mockup.store.material_records import Material

__all__ = [
    "PHOTOS",
    "FoundLook",
    "GivenPhoto",
    "find_look",
    "how_near",
    "kind_of",
    "preview",
    "take_look",
]

PHOTOS = {
    **dict.fromkeys(SHEETS, ("",)),
    "glitter": ("on white", "on black"),
    "foil": ("mirroring the card", "mirroring something dark"),
}
"""By kind, what each of its photos shows; nothing where there is but one."""

_NEAR = (  # ΔE00 up to which it is so, in words; our choice
    (1.5, "very near: side by side with the real thing the eye hardly tells them apart"),
    (3.0, "near: side by side with the real thing a careful eye sees a difference"),
    (6.0, "fair: beside the real thing it may look like a neighbouring shade"),
)
_FAR = "rough: good enough to plan by, not to match a colour by"


@dataclass(frozen=True, slots=True)
class GivenPhoto:
    """One photo as it was given.

    `place`, `bare` and `corners` are as users write them (see `mockup.photo.told`); the card is
    found without corners, and so is an even material without a place.
    """

    name: str
    data: bytes
    place: str = ""
    bare: str = ""
    corners: str = ""


@dataclass(frozen=True, slots=True)
class FoundLook:
    """What photos gave.

    Attributes
    ----------
    measured
        The swatches and figures, and what limits them.
    pictures
        Each photo, small, with the card and the places outlined: PNG.
    photos
        What it was measured from, by name.
    """

    measured: Measured
    pictures: tuple[bytes, ...]
    photos: Mapping[str, bytes]

    @property
    def chips(self) -> tuple[str, ...]:
        """The colour of each swatch on a flat patch, sRGB."""
        return tuple(chip_hex(one.swatch) for one in self.measured.swatches)

    @property
    def called(self) -> tuple[str, ...]:
        """The plain name of each chip."""
        return tuple(plain_name(oklab_from_rgb8(rgb8_from_hex(chip))) for chip in self.chips)


def kind_of(product: AnyProduct) -> str | None:
    """What a product is measured as; None if a photo tells nothing of it."""
    if product.kind == "wrap_sheet":
        return "fabric" if product.sheet == "fabric" else "print"
    return product.kind if product.kind in PHOTOS else None


def find_look(
    given: Sequence[GivenPhoto], kind: str, setting: Setting, progress: Progress = Quiet
) -> FoundLook:
    """Measure a material and draw where it was measured.

    Parameters
    ----------
    given
        As many as `PHOTOS` has for the kind, in that order.
    setting
        The card and the light; the places are the photos' own.

    Raises
    ------
    PhotoError
        A photo does not hold what is asked; of two, the fault says which.
    AssetError
        A photo is damaged.
    UnknownName
        There is no such kind, light or metal.
    """
    names = _names(given)
    with TemporaryDirectory() as folder, _which_photo(names, PHOTOS.get(kind, ())):
        paths = [Path(folder) / name for name in names]
        for path, one in zip(paths, given, strict=True):
            path.write_bytes(one.data)
        measured = measure(paths, kind, _told(given, setting), progress=part(progress, 0.0, 0.9))
        pictures = []
        for i, (path, at) in enumerate(zip(paths, measured.places, strict=True)):
            progress(0.9 + 0.1 * i / len(given), "drawing where it was measured")
            pictures.append(_drawn(open_photo(path), kind, at))
    photos = {name: one.data for name, one in zip(names, given, strict=True)}
    return FoundLook(measured, tuple(pictures), photos)


def how_near(delta_e: float) -> str:
    """What it means that the true colour lies within so much ΔE00, in 9 cases of 10."""
    return next((words for most, words in _NEAR if delta_e <= most), _FAR)


def take_look(store: Store, material: Material, found: FoundLook, which: int = 0) -> Material:
    """Let a material look as it was measured; how it looked before is kept.

    Parameters
    ----------
    which
        Of a mix, the colour that stands for it; the others are kept with the measurement.

    Raises
    ------
    StoreError
        It cannot be saved.
    """
    swatch = found.measured.swatches[which].swatch.model_copy(update={"label": material.name})
    return store.materials.show(
        material, swatch, measured=found.measured.as_dict(), photos=found.photos
    )


def preview(given: GivenPhoto) -> bytes:
    """A photo upright and small, as PNG.

    Raises
    ------
    PhotoError, AssetError
        It is none, or damaged.
    """
    with TemporaryDirectory() as folder:
        path = Path(folder) / _names([given])[0]
        path.write_bytes(given.data)
        return small_picture(open_photo(path).linear)


def _names(given: Sequence[GivenPhoto]) -> list[str]:
    """The photos' own names, as every file system can have them, no two alike."""
    names = [re.sub(r"[^\w.-]", "-", one.name).strip(".")[-60:] or "photo" for one in given]
    if len({name.casefold() for name in names}) == len(names):
        return names
    return [f"{i}-{name}" for i, name in enumerate(names, start=1)]


@contextmanager
def _which_photo(names: Sequence[str], shows: Sequence[str]) -> Iterator[None]:
    """Faults of one photo among several say which it is."""
    try:
        yield
    except (PhotoError, AssetError) as error:
        for name, what in zip(names, shows, strict=False):
            if len(names) > 1 and (error.where == name or error.where.startswith(f"{name}: ")):
                raise type(error)(
                    f"photo {what}: {error.problem}", where=error.where, remedy=error.remedy
                ) from error
        raise


def _told(given: Sequence[GivenPhoto], setting: Setting) -> Setting:
    """The setting with the photos' own places."""
    marked = [one.corners for one in given if one.corners]
    if 0 < len(marked) < len(given):
        raise PhotoError(
            "the card is marked in one photo and not in the other",
            where="measure",
            remedy="Mark it in both, or in none",
        )
    return replace(
        setting,
        corners=marked,
        places=[one.place for one in given if one.place],
        bare=[one.bare for one in given if one.bare],
    )


def _drawn(photo: Photo, kind: str, at: Places) -> bytes:
    """The photo with what was measured outlined: card or chart, material, bare ground."""
    places = [Place("chart" if at.chart else "card", at.card_px)]
    for what, area in ((kind, at.material), ("bare paper", at.bare)):
        if area is not None:
            left, right, top, bottom = area.left, area.right, area.top, area.bottom
            around = [(left, top), (right, top), (right, bottom), (left, bottom)]
            places.append(Place(what, np.array(around) - 0.5))
    return outlined(photo.linear, places)

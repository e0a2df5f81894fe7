"""From photos on disk to a measured material: each step once, in this order."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mockup.design.palette import METALS, Palette
from mockup.errors import PhotoError, UnknownName
from mockup.photo.card import CARD_MM, REFLECTANCE, Card, find_card, find_chart_card
from mockup.photo.foil import DARK, DISTANCE_MM, Mirroring, measure_foil
from mockup.photo.glitter import measure_glitter
from mockup.photo.measured import Measured, Places
from mockup.photo.picture import Photo, open_photo
from mockup.photo.strewn import Strewn
from mockup.photo.swatch import SHEETS, find_area, measure_sheet
from mockup.photo.told import Area, area_of, corners_of
from mockup.progress import Progress

__all__ = ["KINDS", "Setting", "as_palette", "measure"]

KINDS = (*SHEETS, "glitter", "foil")
_MOST_NAME = 80  # letters of a palette's name


@dataclass(frozen=True, slots=True)
class Setting:
    """How the photos were taken, and where things lie in them.

    `corners`, `places` and `bare` are as users write them (see `told`), one for each photo or one
    for all; empty ones are found where they can be. With `chart` the corners are those of a chart.
    """

    reflectance: float = REFLECTANCE
    card_mm: tuple[float, float] | None = None
    light: str | None = None
    corners: Sequence[str] = ()
    places: Sequence[str] = ()
    bare: Sequence[str] = ()
    dark: float = DARK
    distance_mm: float = DISTANCE_MM
    metal: str = "aluminium"
    chart: bool = False


def measure(
    paths: Sequence[Path],
    kind: str,
    setting: Setting | None = None,
    *,
    progress: Progress = lambda share, what: None,
) -> Measured:
    """Measure one material from one photo, or from two (glitter, foil).

    Parameters
    ----------
    paths
        Glitter: strewn on white, then on black; one photo may hold both. Foil: mirroring the card,
        then mirroring something dark.
    kind
        One of `KINDS`.

    Raises
    ------
    PhotoError
        The photos do not hold what is asked; each fault says what to do.
    AssetError
        A photo is damaged.
    UnknownName
        There is no such kind, light or metal.
    """
    told = setting or Setting()
    if kind not in KINDS:
        raise UnknownName("kind of material", kind, KINDS, where="measure")
    if told.metal not in METALS:
        raise UnknownName("metal", told.metal, METALS, where="measure")
    photos = _photos(paths, kind, 1 if kind in SHEETS else 2, progress)
    cards: list[Card] = []
    for photo, corners in zip(photos, _corners(told, photos), strict=True):
        progress(0.2 + 0.1 * len(cards) / len(photos), "finding the card")
        cards.append(_reference(photo, corners, told, kind))
    turned = tuple(
        f"The chart in {photo.name} is upside down; it was read as it lies."
        for photo, card in zip(photos, cards, strict=True)
        if card.chart is not None and card.chart.quarter_turns == 2
    )
    progress(0.3, "finding the material")
    places = _places(photos, cards, kind, told)
    measured = _measured(
        photos, cards, places, kind, told, lambda share, what: progress(0.4 + 0.6 * share, what)
    )
    return replace(measured, words=(*turned, *measured.words), places=places)


def _reference(photo: Photo, corners: NDArray[np.float64] | None, told: Setting, kind: str) -> Card:
    """The chart if there is one, else the card."""
    if told.chart or corners is None:
        card = find_chart_card(photo, corners, size_mm=told.card_mm or CARD_MM)
        if card is not None and kind == "glitter" and told.card_mm is None:
            raise PhotoError(
                "a chart tells no scale while its size is not told",
                where=photo.name,
                remedy="Give the size of its field of patches with --card, such as 270x180",
            )
        if card is not None:
            return card
    if told.chart:
        raise PhotoError(
            "no chart of 24 patches found in this photo",
            where=photo.name,
            remedy="Lay it whole into the picture, flat and evenly lit; or give the four corners "
            "of its field of patches",
        )
    return find_card(photo, corners, size_mm=told.card_mm or CARD_MM)


def _places(photos: list[Photo], cards: list[Card], kind: str, told: Setting) -> tuple[Places, ...]:
    """Where to measure, as it is told; an even material is found without."""
    bare: list[Area | None] = [None] * len(photos)
    if kind in SHEETS:
        areas = [_areas(told.places, photos, "place")[0] or find_area(photos[0], cards[0])]
    else:
        areas = _needed(told.places, photos, kind, "--place")
    if kind == "glitter":
        bare = [*_needed(told.bare, photos, "bare ground", "--bare")]
    return tuple(
        Places(card.corners_px, card.chart is not None, area, ground)
        for card, area, ground in zip(cards, areas, bare, strict=True)
    )


def _measured(
    photos: list[Photo],
    cards: list[Card],
    places: tuple[Places, ...],
    kind: str,
    told: Setting,
    progress: Progress,
) -> Measured:
    progress(0.0, "measuring")
    given = list(zip(photos, cards, places, strict=True))
    if kind in SHEETS:
        ((photo, card, at),) = given
        return measure_sheet(
            photo, card, at.material, kind, reflectance=told.reflectance, light=told.light
        )
    if kind == "foil":
        return measure_foil(
            *(Mirroring(photo, card, at.material) for photo, card, at in given),
            reflectance=told.reflectance,
            dark=told.dark,
            distance_mm=told.distance_mm,
            metal=told.metal,
            light=told.light,
        )
    return measure_glitter(
        *(Strewn(photo, card, at.material, at.bare) for photo, card, at in given if at.bare),
        reflectance=told.reflectance,
        light=told.light,
        progress=progress,
    )


def as_palette(measured: Measured, name: str) -> Palette:
    """The swatches as a palette: one role, or one for each colour of a glitter."""
    several = len(measured.swatches) > 1
    roles = {
        f"{measured.kind} {i} ({100 * one.share:.0f} %)" if several else measured.kind: one.swatch
        for i, one in enumerate(measured.swatches, start=1)
    }
    figures = "; ".join(
        f"{name} {figure.value:.3g} ± {figure.within:.2g}"
        for name, figure in measured.figures.items()
    )
    return Palette(
        name=name[:_MOST_NAME],
        note=figures[:500],
        source="measured from a photo beside a card",
        roles=roles,
    )


def _photos(paths: Sequence[Path], kind: str, needed: int, progress: Progress) -> list[Photo]:
    if len(paths) == needed or (kind == "glitter" and len(paths) == 1):
        opened: list[Photo] = []
        for path in paths:
            progress(0.2 * len(opened) / len(paths), "reading the photo")
            opened.append(open_photo(path))
        return opened * (needed // len(paths))
    what = {
        "glitter": "Give two: strewn on white, and on black",
        "foil": "Give two: mirroring the card, and mirroring something dark",
    }
    raise PhotoError(
        f"{kind} is not measured from {len(paths)} photo{'s' if len(paths) != 1 else ''}",
        where="measure",
        remedy=what.get(kind, "Give one"),
    )


def _corners(told: Setting, photos: list[Photo]) -> list[NDArray[np.float64] | None]:
    texts = _one_each(told.corners, len(photos), "--corners")
    return [
        None
        if text is None
        else corners_of(text, photo.size_px, where=f"{photo.name}: the card's corners")
        for text, photo in zip(texts, photos, strict=True)
    ]


def _areas(texts: Sequence[str], photos: list[Photo], what: str) -> list[Area | None]:
    return [
        None if text is None else area_of(text, photo.size_px, where=f"{photo.name}: {what}")
        for text, photo in zip(_one_each(texts, len(photos), f"--{what}"), photos, strict=True)
    ]


def _needed(texts: Sequence[str], photos: list[Photo], what: str, option: str) -> list[Area]:
    found = [area for area in _areas(texts, photos, option[2:]) if area is not None]
    if len(found) != len(photos):
        raise PhotoError(
            f"it is not told where the {what} lies",
            where=photos[0].name,
            remedy=f"Say it with {option} left,top,right,bottom, once for each photo or once for "
            "both",
        )
    return found


def _one_each(texts: Sequence[str], count: int, option: str) -> list[str | None]:
    if not texts:
        return [None] * count
    if len(texts) == 1:
        return [texts[0]] * count
    if len(texts) != count:
        raise PhotoError(
            f"{option} is given {len(texts)} times",
            where="measure",
            remedy="Give it once for all photos, or once for each",
        )
    return list(texts)

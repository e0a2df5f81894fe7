"""What the user tells of a photo: places in it, in pixels or per cent of its sides."""

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mockup.errors import PhotoError
from mockup.photo.plane import UNIT_SQUARE, homography, through

if TYPE_CHECKING:
    from mockup.photo.card import Card
    from mockup.photo.picture import Photo

__all__ = ["Area", "area_of", "corners_of"]

_NUMBER = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(%?)")
_LEAST_PX = 12
_MOST_LOST = 0.02  # of an area's pixels, clipped


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle of a photo: whole pixels from `left`, `top` up to, without, `right`, `bottom`."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def box(self) -> tuple[slice, slice]:
        """Its rows and columns."""
        return slice(self.top, self.bottom), slice(self.left, self.right)

    @property
    def middle_px(self) -> NDArray[np.float64]:
        """X and y."""
        return np.array([self.left + self.right - 1, self.top + self.bottom - 1]) / 2.0

    def checked(
        self, photo: "Photo", card: "Card", what: str, *, most_clipped: float = _MOST_LOST
    ) -> "Area":
        """The same, or refused.

        Parameters
        ----------
        what
            The material, for messages.
        most_clipped
            Share of its pixels that may be clipped.

        Raises
        ------
        PhotoError
            It leaves the picture, is too small, lies on the card, or is clipped or dark.
        """
        where = f"{photo.name}: {what}"
        width, height = photo.size_px
        if self.left < 0 or self.top < 0 or self.right > width or self.bottom > height:
            raise PhotoError("its place leaves the picture", where=where, remedy="Move it inside")
        if min(self.right - self.left, self.bottom - self.top) < _LEAST_PX:
            raise PhotoError(
                f"its place is smaller than {_LEAST_PX} × {_LEAST_PX} pixels",
                where=where,
                remedy="Mark more of it, or take the photo from nearer",
            )
        if _touches(self, card):
            raise PhotoError(
                "its place lies on the card", where=where, remedy="Mark it beside the card"
            )
        if photo.clipped[self.box].mean() > most_clipped:
            raise PhotoError(
                "it is clipped: brighter or more colourful than the photo can hold",
                where=where,
                remedy="Take the photo with less exposure, and turn it until no lamp mirrors in it",
            )
        if photo.dark[self.box].mean() > 0.5:
            raise PhotoError(
                "it is underexposed: so dark in the photo that its colour is lost",
                where=where,
                remedy="Take the photo with more light, so that the card is nearly white in it",
            )
        return self


def _touches(area: Area, card: "Card") -> bool:
    xs, ys = (np.linspace(*ends, 25) for ends in ((area.left, area.right), (area.top, area.bottom)))
    places = through(
        homography(card.corners_px, UNIT_SQUARE), np.stack(np.meshgrid(xs, ys), axis=-1)
    )
    return bool(((places > 0.0) & (places < 1.0)).all(axis=-1).any())


def area_of(text: str, size_px: tuple[int, int], *, where: str) -> Area:
    """Left, top, right and bottom edge, such as ``40%,20%,70%,60%`` or ``400,200,700,600``.

    Raises
    ------
    PhotoError
        It is not four such numbers, or they do not grow.
    """
    left, top, right, bottom = _numbers(text, 4, size_px, where).round().astype(int).tolist()
    if left >= right or top >= bottom:
        raise PhotoError(
            f"{text!r} has no area",
            where=where,
            remedy="Give left, top, right and bottom, counted from the picture's top left",
        )
    return Area(left, top, right, bottom)


def corners_of(text: str, size_px: tuple[int, int], *, where: str) -> NDArray[np.float64]:
    """Four corners, clockwise from the top left: eight numbers, x before y, px or per cent.

    Returns
    -------
    (4, 2) float64, px

    Raises
    ------
    PhotoError
        It is not eight numbers.
    """
    numbers = _numbers(text, 8, size_px, where)
    return np.clip(numbers.reshape(4, 2), 0, np.array(size_px) - 1.0)


def _numbers(text: str, count: int, size_px: tuple[int, int], where: str) -> NDArray[np.float64]:
    parts = [_NUMBER.fullmatch(part) for part in re.split(r"[,;\s]+", text.strip())]
    found = [part for part in parts if part is not None]
    if len(found) != count or len(parts) != count:
        raise PhotoError(
            f"{text!r} is not {count} numbers",
            where=where,
            remedy=f"Give {count} numbers with commas between, in pixels or each with a % sign",
        )
    return np.array(
        [
            float(part[1]) * (size_px[i % 2] / 100.0 if part[2] else 1.0)
            for i, part in enumerate(found)
        ]
    )

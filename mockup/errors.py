"""Every error we raise on purpose.

MockupError
├── DesignError       the document is wrong; the designer can mend it
│   ├── UnknownName   a blank, palette, swatch role, font or light is not in its table
│   └── AssetError    an image, drawing or font is not what it should be
├── GeometryError     a blank, point or decal does not fit
├── RenderError       no GL context, a shader did not compile, or the render process died
├── PhotoError        a photo does not hold what is to be measured, or not well enough
├── OutputError       a file could not be written
└── StoreError        the database is locked, too new, or the revision is approved
"""

from collections.abc import Iterable
from difflib import get_close_matches

__all__ = [
    "AssetError",
    "DesignError",
    "GeometryError",
    "MockupError",
    "OutputError",
    "PhotoError",
    "RenderError",
    "StoreError",
    "UnknownName",
]


class MockupError(Exception):
    """Says what is wrong, where, and what to do; faces print it as it is.

    Parameters
    ----------
    problem
        What is wrong, with the value. No full stop.
    where
        File and path within it, such as ``design.toml: layers[2].cut_mm``.
    remedy
        What to do, as an imperative. No full stop.
    """

    def __init__(self, problem: str, *, where: str, remedy: str) -> None:
        super().__init__(problem, where, remedy)
        self.problem, self.where, self.remedy = problem, where, remedy

    def __str__(self) -> str:
        return f"{self.where}: {self.problem}. {self.remedy}."

    def __reduce__(self) -> tuple[object, ...]:
        """Errors cross the border of the render process."""
        return (_rebuild, (type(self), self.problem, self.where, self.remedy))


def _rebuild(kind: type[MockupError], problem: str, where: str, remedy: str) -> MockupError:
    error = kind.__new__(kind)
    MockupError.__init__(error, problem, where=where, remedy=remedy)
    return error


class DesignError(MockupError):
    """The design document is wrong; the designer can mend it."""


class UnknownName(DesignError):  # noqa: N818  it names the fault, like KeyError's kin
    """A name is not in its table."""

    def __init__(self, kind: str, name: str, known: Iterable[str], *, where: str) -> None:
        choices = sorted(known)
        near = get_close_matches(name, choices, n=1) or choices[:5]
        remedy = f"Use {' or '.join(repr(n) for n in near)}" if near else f"Add a {kind} first"
        super().__init__(f"no {kind} is named {name!r}", where=where, remedy=remedy)


class AssetError(DesignError):
    """An image, drawing or font is not what it should be."""


class GeometryError(MockupError):
    """A blank, point or decal does not fit."""


class RenderError(MockupError):
    """No GL context, a shader that did not compile, or a render process that died."""


class PhotoError(MockupError):
    """A photo does not hold what is to be measured, or not well enough."""


class OutputError(MockupError):
    """A file could not be written."""


class StoreError(MockupError):
    """The database is locked, too new, or the revision is approved."""

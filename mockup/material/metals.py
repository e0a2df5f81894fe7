"""Published indices of metals; each table in metals/ names its source, DOI and units."""

from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mockup.errors import UnknownName

__all__ = ["METAL_NAMES", "Metal", "read_metal"]

METAL_NAMES = ("aluminium", "copper", "gold", "iron", "silver")


@dataclass(frozen=True, slots=True, eq=False)
class Metal:
    """Complex refractive index n + ik in vacuum, as published: three (m,) float64 arrays."""

    name: str
    wavelengths_nm: NDArray[np.float64]
    n: NDArray[np.float64]
    k: NDArray[np.float64]

    def index_at(self, at_nm: ArrayLike) -> NDArray[np.complex128]:
        """Index n + ik at other wavelengths, linear between published ones: (...) complex128.

        Beyond both ends the end value goes on; every table covers 380 to 780 nm.
        """
        nm = np.asarray(at_nm, dtype=np.float64)
        n = np.interp(nm, self.wavelengths_nm, self.n)
        k = np.interp(nm, self.wavelengths_nm, self.k)
        return n + 1j * k


@cache
def read_metal(name: str) -> Metal:
    """Read one metal's published table.

    Raises
    ------
    UnknownName
        There is no table of that metal.
    """
    if name not in METAL_NAMES:
        raise UnknownName("metal", name, METAL_NAMES, where="metal")
    file = resources.files("mockup.material").joinpath("metals", f"{name}.csv")
    rows = [line for line in file.read_text("utf-8").splitlines() if line[0].isdigit()]
    table = np.array([row.split(",") for row in rows], dtype=np.float64)
    table.flags.writeable = False
    return Metal(name, table[:, 0], table[:, 1], table[:, 2])

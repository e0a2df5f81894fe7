"""What a cup's shading programs must know how to do: rough foil, gratings, clear films.

Light that foils with a grating and clear films send about is worked out only in cups that have
such. A host builds its programs anew when a palette changes the variant, and only then.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mockup.material.channels import slots
from mockup.shading.table import ROW_FLAKES, ROW_SHEETS
from mockup.skin.skin import Skin

__all__ = ["Variant", "variant_of"]


@dataclass(frozen=True, slots=True)
class Variant:
    """What a cup's programs are built for: (samples, second bounces) of foil, and odd materials."""

    foil: tuple[int, int]
    grated_sheets: bool = False
    grated_flakes: bool = False
    clear_sheets: bool = False
    clear_flakes: bool = False

    def defines(self, *, sheets: bool, flakes: bool) -> dict[str, int]:
        """Its #defines for a draw in which sheets, or flakes, may show."""
        return {
            "GRATED_SHEETS": int(sheets and self.grated_sheets),
            "GRATED_FLAKES": int(flakes and self.grated_flakes),
            "CLEAR_SHEETS": int(sheets and self.clear_sheets),
            "CLEAR_FLAKES": int(flakes and self.clear_flakes),
        }


def variant_of(skin: Skin, table: NDArray[np.float32], foil: tuple[int, int]) -> Variant:
    """The variant that a skin needs under a parameter table.

    Parameters
    ----------
    table : (rows, slots, 4) float32, as `build_table` fills it
    foil
        Samples and second bounces, as `foil_quality` gives them.
    """
    sheets = table[ROW_SHEETS : ROW_SHEETS + len(skin.sheets), 0, 0].astype(int)
    mixes = [
        table[ROW_FLAKES + i, 3 : 3 + len(flakes.mix), 1] for i, flakes in enumerate(skin.flakes)
    ]
    used = sheets, np.concatenate([*mixes, np.empty(0)]).astype(int)
    grating, passes = slots()["grating"], slots()["passes"]
    return Variant(
        foil,
        *(bool((table[rows, grating, 1] > 0).any()) for rows in used),
        *(bool((table[rows, passes, :3] > 0).any()) for rows in used),
    )

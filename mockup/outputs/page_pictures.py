"""Pages of a PDF as pictures."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

__all__ = ["page_pictures"]

DPI = 150


def page_pictures(pdf: bytes) -> Iterator[NDArray[np.uint8]]:
    """Each page, (rows, columns, 3) uint8 sRGB, at 150 dots per inch."""
    import pypdfium2  # PDFium loads only here

    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            yield np.asarray(page.render(scale=DPI / 72).to_pil().convert("RGB"))

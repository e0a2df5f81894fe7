"""Text in the letters that a font has, and which letters had to be left out."""

import unicodedata
from collections.abc import Container

__all__ = ["BOX", "legible"]

BOX = "□"
"""What stands for a letter that cannot be shown."""

_ALIKE = {  # signs that look the same, or nearly so
    "\u2010": "-",
    "\u2011": "-",
    "\u00ad": "",
    "\u2007": " ",
    "\u202f": "\u00a0",
    "\t": " ",
    "\u2028": "\n",
    "\u2029": "\n",
}


def legible(text: str, known: Container[int]) -> tuple[str, tuple[str, ...]]:
    """`text` with a box for each letter that is not among the code points `known`.

    Also gives those letters, each once. What is joined to such a letter goes with it, and its
    accents and colours do; so do control characters and those that turn the way of writing.
    Letters that look alike are taken where they are known.
    """
    strange: dict[str, None] = {}
    shown: list[str] = []
    after_box, joined = False, False
    for letter in text:
        if _is_mark(letter):
            joined = after_box and letter == "\u200d"
            if not after_box and ord(letter) in known and unicodedata.category(letter) == "Mn":
                shown.append(letter)
            continue
        plain = letter if letter == "\n" or ord(letter) in known else _ALIKE.get(letter)
        if not joined:
            after_box = plain is None
            shown.append(BOX if plain is None else plain)
            if plain is None:
                strange[letter] = None
        joined = False
    return "".join(shown), tuple(strange)


def _is_mark(letter: str) -> bool:
    """Whether it only changes or joins the letters about it, or has no shape at all."""
    if letter == "\n" or letter in _ALIKE:
        return False
    skin = 0x1F3FB <= ord(letter) <= 0x1F3FF
    return skin or unicodedata.category(letter) in ("Mn", "Me", "Cf", "Cc", "Cs", "Co", "Cn")

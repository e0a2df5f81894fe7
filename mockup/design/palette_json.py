"""Palettes as JSON: the keys of a palette's TOML file, and what each role shows on a screen."""

import json
from collections.abc import Mapping
from typing import Any

from mockup.design.palette import Palette
from mockup.design.strict import validate
from mockup.errors import DesignError

__all__ = ["json_text", "read_json"]

SHOWN = "shown_srgb"


def json_text(palette: Palette, shown: Mapping[str, str]) -> str:
    """The palette as JSON; `shown` gives each role's colour, ``#rrggbb``, for other programs."""
    whole = palette.model_dump(mode="json")
    for role, swatch in whole["roles"].items():
        swatch[SHOWN] = shown[role]
    return json.dumps(whole, indent=2, ensure_ascii=False) + "\n"


def read_json(text: str, *, where: str) -> Palette:
    """The palette in a JSON text.

    Raises
    ------
    DesignError
        It is no JSON, or a key or value in it is wrong.
    """
    try:
        whole = json.loads(text, object_pairs_hook=_once_each)
    except RecursionError:
        raise DesignError(
            "tables or lists are nested too deeply", where=where, remedy="Name a palette"
        ) from None
    except ValueError as error:
        raise DesignError(
            f"it is no JSON ({error})", where=where, remedy="Mend it there, or write it out anew"
        ) from None
    if not isinstance(whole, dict):
        raise DesignError(
            "it is no palette", where=where, remedy='Begin with {"name": …, "roles": {…}}'
        )
    roles = whole.get("roles")
    for swatch in roles.values() if isinstance(roles, dict) else ():
        if isinstance(swatch, dict):
            swatch.pop(SHOWN, None)  # it follows from the rest
    return validate(Palette, whole, where=where)


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f"the key {key!r} is given twice")
        found[key] = value
    return found

"""What a finished cup teaches of a material's colour: a proposal, taken only when it is asked for.

Where a colour came out with other shares of red, green and blue than its proof promised, the
swatch's own colour is changed by the same factors. For paint in air that is exact; below resin and
in metal it is the first step, and the next cup tells what is left.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import TypeAdapter

from mockup.colorimetry.srgb import linear_from_hex, linear_from_rgb8, rgb8_from_linear
from mockup.design.palette import Swatch
from mockup.errors import StoreError
from mockup.store import Store
from mockup.store.material_records import Finished, Material

__all__ = ["Lesson", "find_lesson", "take_lesson"]

LEAST_DELTA_E = 2.0  # a photo beside a card tells no smaller step
MOST_FACTOR = 4.0
_COLOURS = {"pigment": "srgb", "metal": "tint_srgb", "hologram": "tint_srgb"}
_SWATCH: TypeAdapter[Swatch] = TypeAdapter(Swatch)


@dataclass(frozen=True, slots=True)
class Lesson:
    """One role of one finished cup: the swatch as it was promised, and as the cup would have it."""

    cup: Finished
    role: str
    before: Swatch
    after: Swatch
    delta_e: float


def find_lesson(store: Store, material: Material, order: int, role: str | None = None) -> Lesson:
    """What the newest photo of an order's finished cup teaches of a material.

    Parameters
    ----------
    role
        What it was used for; None is the one whose label the material bears.

    Raises
    ------
    StoreError
        No photo tells it, or it came out as promised, or the swatch has no colour of its own.
    """
    where = f"material {material.name!r}"
    cups = store.finished.of_order(order)
    if not cups:
        raise StoreError(
            f"order {order} has no photo of its finished cup",
            where=where,
            remedy="Take one with the card in it and hold it against the proof with `finished`",
        )
    told = _role(cups[0], material, role, where)
    before = _SWATCH.validate_python(told["swatch"])
    field = _COLOURS.get(before.kind)
    if field is None:
        raise StoreError(
            f"a swatch of kind {before.kind!r} has no single colour that a cup could set right",
            where=where,
            remedy="Measure the material itself beside the card",
        )
    if told["delta_e_2000"] < LEAST_DELTA_E:
        raise StoreError(
            f"{told['role']!r} came out as promised, within what a photo tells "
            f"(ΔE00 {told['delta_e_2000']:.1f})",
            where=where,
            remedy="Leave it as it is",
        )
    after = before.model_copy(
        update={field: _corrected(getattr(before, field), told), "source": f"order {order}'s cup"}
    )
    return Lesson(cups[0], told["role"], before, after, told["delta_e_2000"])


def take_lesson(store: Store, material: Material, lesson: Lesson) -> Material:
    """Let the material look as the lesson has it; how it looked before is kept."""
    facts = {
        "by": "finished cup",
        "order": lesson.cup.order_id,
        "finished": lesson.cup.id,
        "role": lesson.role,
        "delta_e_2000": lesson.delta_e,
    }
    return store.materials.show(material, lesson.after, measured=facts)


def _role(cup: Finished, material: Material, role: str | None, where: str) -> dict[str, Any]:
    known = [one for one in cup.facts["roles"] if one["seen"] and "swatch" in one]
    key, wanted = ("label", material.name) if role is None else ("role", role)
    found = next((one for one in known if one[key] == wanted), None)
    if found is None:
        named = ", ".join(repr(one["role"]) for one in known) or "nothing"
        raise StoreError(
            f"the photo of order {cup.order_id}'s cup tells the colour of {named}, "
            f"not of {wanted!r}",
            where=where,
            remedy="Name one of these as the role" if known else "Take another photo",
        )
    return dict(found)


def _corrected(colour: str, told: dict[str, Any]) -> str:
    promised, finished = (
        linear_from_rgb8(np.array(told[f"{which}_rgb8_srgb"], np.uint8)).astype(np.float64)
        for which in ("promised", "finished")
    )
    factor = np.clip(finished / np.maximum(promised, 1e-3), 1 / MOST_FACTOR, MOST_FACTOR)
    linear: NDArray[np.float64] = np.clip(linear_from_hex(colour) * factor, 0, 1)
    return f"#{bytes(rgb8_from_linear(linear).tolist()).hex()}"

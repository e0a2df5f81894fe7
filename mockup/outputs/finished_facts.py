"""What came of holding a finished cup against its proof, as data and as JSON."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.design.palette import Swatch
from mockup.photo.compare import ColourPair, Fade
from mockup.photo.place import Placed
from mockup.photo.stand import Stand
from mockup.photo.turn import Turn

__all__ = ["DecalHeld", "FinishedFacts", "FinishedPictures", "RoleHeld", "facts_as_json"]


@dataclass(frozen=True, slots=True, eq=False)
class RoleHeld:
    """One material: its colour promised and finished; `pair` is None where too little is seen.

    `kind` is base, print, glitter, foil or vinyl. `swatch` is the palette's; None for prints and
    mixes, which have several.
    """

    role: str
    label: str
    kind: str
    pair: ColourPair | None
    swatch: Swatch | None = None


@dataclass(frozen=True, slots=True, eq=False)
class DecalHeld:
    """One decal: where it lies against its place; `placed` is None where too little is seen.

    `sideways_mm` is told against all else that marks the turn, None where nothing does.
    """

    name: str
    layer: int
    placed: Placed | None
    sideways_mm: float | None


@dataclass(frozen=True, slots=True, eq=False)
class FinishedPictures:
    """Both cups by one camera and both walls rolled out: (h, w, 3) uint8, sRGB.

    `on_cup` : (h, w), where the cup is. `differs` : (rows, columns) float64, ΔE00 over the wall,
    NaN where it is not seen.
    """

    promised: NDArray[np.uint8]
    finished: NDArray[np.uint8]
    on_cup: NDArray[np.bool_]
    promised_wall: NDArray[np.uint8]
    finished_wall: NDArray[np.uint8]
    differs: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class FinishedFacts:
    """Everything that is told; `turn` is None where the decoration does not tell it."""

    title: str
    fingerprint: str
    palette: str
    light: str
    photo: str
    stand: Stand
    lens: str
    focal_35mm: float
    turn_deg: float
    turn: Turn | None
    wall_mm: tuple[float, float]
    roles: tuple[RoleHeld, ...]
    decals: tuple[DecalHeld, ...]
    fade: Fade | None
    notes: tuple[str, ...] = field(default=())

    @property
    def delta_e(self) -> float | None:
        """The largest ΔE00 of any role; None where none is seen."""
        seen = [role.pair.delta_e for role in self.roles if role.pair is not None]
        return max(seen, default=None)


def facts_as_json(facts: FinishedFacts, sentences: tuple[str, ...]) -> dict[str, Any]:
    """Plain values, mm and degrees; colours as sRGB codes."""
    pose = facts.stand.pose
    return {
        "title": facts.title,
        "fingerprint": facts.fingerprint,
        "palette": facts.palette,
        "light": facts.light,
        "photo": facts.photo,
        "camera": {
            "distance_mm": round(pose.distance_mm, 1),
            "distance_sigma": round(facts.stand.distance_sigma, 4),
            "elevation_deg": round(float(np.degrees(pose.elevation_rad)), 2),
            "elevation_sigma_deg": round(float(np.degrees(facts.stand.elevation_sigma_rad)), 2),
            "roll_deg": round(float(np.degrees(pose.roll_rad)), 2),
            "focal_35mm": round(facts.focal_35mm, 1),
            "focal_source": facts.lens,
            "outline_on_edges": round(facts.stand.fit.support, 3),
            "lid": facts.stand.lid,
        },
        "turn_deg": round(facts.turn_deg, 2),
        "turn_match": None if facts.turn is None else round(facts.turn.match, 3),
        "roles": [_role(role) for role in facts.roles],
        "decals": [_decal(decal) for decal in facts.decals],
        "glitter": None if facts.fade is None else _fade(facts.fade),
        "sentences": list(sentences),
        "notes": list(facts.notes),
    }


def _role(held: RoleHeld) -> dict[str, Any]:
    told: dict[str, Any] = {"role": held.role, "label": held.label, "kind": held.kind}
    if held.swatch is not None:
        told["swatch"] = held.swatch.model_dump(mode="json")
    if held.pair is None:
        return told | {"seen": False}
    codes = rgb8_from_linear(np.stack([held.pair.promised, held.pair.finished])).tolist()
    return told | {
        "seen": True,
        "delta_e_2000": round(held.pair.delta_e, 2),
        "promised_rgb8_srgb": codes[0],
        "finished_rgb8_srgb": codes[1],
        "lab_step": [round(float(v), 2) for v in held.pair.lab[1] - held.pair.lab[0]],
    }


def _decal(held: DecalHeld) -> dict[str, Any]:
    told: dict[str, Any] = {"name": held.name, "layer": held.layer}
    if held.placed is None:
        return told | {"seen": False}
    sideways = None if held.sideways_mm is None else round(held.sideways_mm, 2)
    return told | {
        "seen": True,
        "share_seen": round(held.placed.seen, 2),
        "right_mm": sideways,
        "up_mm": round(held.placed.up_mm, 2),
        "tilt_deg": round(held.placed.tilt_deg, 2),
    }


def _fade(fade: Fade) -> dict[str, Any]:
    half = fade.half_mm()
    return {
        "height_mm": [round(float(h), 1) for h in fade.height_mm],
        "promised_share": [round(float(s), 3) for s in fade.promised],
        "finished_share": [round(float(s), 3) for s in fade.finished],
        "half_height_mm": None if half is None else [round(h, 1) for h in half],
        "rms": round(fade.rms, 3),
    }

"""From a photo of the finished cup to what became of the promise: figures, sentences, a picture."""

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mockup.blank.wall import build_blank
from mockup.colorimetry.srgb import rgb8_from_linear
from mockup.design.document import Design
from mockup.errors import PhotoError, StoreError
from mockup.outputs.finished import draw_finished
from mockup.outputs.finished_facts import FinishedFacts, FinishedPictures, facts_as_json
from mockup.outputs.finished_words import finished_sentences
from mockup.outputs.pictures import write_picture
from mockup.photo.camera import FULL_FRAME_DIAGONAL_MM, Pose
from mockup.photo.card import REFLECTANCE, corrected, find_card
from mockup.photo.compare import difference_map
from mockup.photo.lens import Lens, lens_of, lens_told
from mockup.photo.picture import open_photo
from mockup.photo.stand import TURN_UPRIGHT, UPSIDE_DOWN, find_cup
from mockup.photo.told import corners_of
from mockup.photo.turn import Turn, find_turn, on_its_head
from mockup.photo.unroll import WallView
from mockup.pipeline.cup import Cup, Quiet, build_cup, part
from mockup.pipeline.held import (
    Walls,
    decals_held,
    fade_held,
    flat_light,
    roles_held,
    view_of,
    walls_of,
)  # fmt: skip
from mockup.progress import Progress
from mockup.render.develop import tone
from mockup.render.lights import WHITE_CARD, find_light, illuminant_of, light_label
from mockup.render.process import RenderProcess
from mockup.render.request import Request
from mockup.shading.table import foil_quality
from mockup.store import Store

__all__ = ["Finished", "Told", "hold_cup", "hold_photo", "keep_photo"]

Light = NDArray[np.float32]

MOST_SIDE_PX = 1600  # of a photo: finer than this, glitter and grain alone are seen better
_SAMPLES = 4
_PAPER = 0.86  # linear light of the promised cup's ground
_NEAR_RAD = math.radians(15)  # how far a turn that is given may be off


@dataclass(frozen=True, slots=True)
class Told:
    """What the maker tells beside the photo; None and "" are found from it.

    `corners` are the card's, as `mockup.photo.told` reads them; `turn_deg` the turn of the wall
    that faces the camera; `focal_35mm` the lens; `light` the light of ours that is most alike.
    """

    corners: str = ""
    reflectance: float = REFLECTANCE
    turn_deg: float | None = None
    focal_35mm: float | None = None
    light: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Finished:
    """What came of it: facts, a sentence for each part, the picture; `as_json` is what is kept."""

    facts: FinishedFacts
    sentences: tuple[str, ...]
    picture: NDArray[np.uint8]

    def as_json(self) -> dict[str, Any]:
        """Plain values."""
        return facts_as_json(self.facts, self.sentences)


def hold_photo(
    design: Design, photo: Path, told: Told = Told(), *, progress: Progress = Quiet
) -> Finished:
    """Hold a photo of the finished cup, with the neutral card in it, against the design.

    Raises
    ------
    PhotoError
        There is no card or no cup in it, or either cannot be measured; nothing is kept then.
    """
    progress(0.0, "reading the photo")
    opened = open_photo(photo)
    corners = corners_of(told.corners, opened.size_px, where=photo.name) if told.corners else None
    card = find_card(opened, corners)
    white = corrected(opened, card, told.reflectance).rgb
    lens = lens_told(told.focal_35mm, "as told") if told.focal_35mm else lens_of(photo)
    small = [_reduced(light) for light in (opened.linear, white)]
    with RenderProcess() as renderer:
        renderer.start()
        return hold_cup(
            design, small[0], small[1], lens, renderer, told=told, name=photo.name,
            progress=part(progress, 0.2, 1.0),
        )  # fmt: skip


def _reduced(light: Light) -> Light:
    """A photo by the mean of whole blocks, until its longer side is small enough."""
    block = -(-max(light.shape[:2]) // MOST_SIDE_PX)
    height, width = (side // block * block for side in light.shape[:2])
    cells = light[:height, :width].reshape(height // block, block, width // block, block, 3)
    return np.ascontiguousarray(cells.mean(axis=(1, 3)), np.float32)


def hold_cup(
    design: Design,
    linear: Light,
    white: Light,
    lens: Lens,
    renderer: RenderProcess,
    *,
    told: Told,
    name: str,
    progress: Progress = Quiet,
) -> Finished:
    """The same from a photo that is read.

    Parameters
    ----------
    linear, white : (h, w, 3) float32
        The photo's own linear light, and the same with a perfect white at 1.
    """
    progress(0.0, "finding the cup")
    blank = build_blank(design.document.blank, where=f"{design.where}: blank")
    stand = find_cup(linear, blank, lens, where=name)
    pose = stand.pose
    cup = build_cup(_with_lid(design, stand.lid), progress=part(progress, 0.1, 0.5))
    view = view_of(cup, pose, white)
    progress(0.5, "finding its turn")
    flat = flat_light(cup, view)
    turn, turn_rad, notes = _turn(view, flat, told)
    if turn is None and on_its_head(view, flat):
        raise PhotoError(UPSIDE_DOWN, where=name, remedy=TURN_UPRIGHT)
    light = told.light or design.document.light
    promised = _promised(cup, pose, turn_rad, light, renderer, part(progress, 0.55, 0.8))
    progress(0.8, "holding it against the proof")
    decals = tuple(decals_held(cup, pose, turn, turn_rad, white, view, flat))
    walls = walls_of(cup, pose, turn_rad, (promised[..., :3], white), view)
    facts = FinishedFacts(
        title=design.document.title,
        fingerprint=design.fingerprint,
        palette=design.palette.name,
        light=light_label(light),
        photo=name,
        stand=stand,
        lens=lens.source,
        focal_35mm=pose.focal_px * FULL_FRAME_DIAGONAL_MM / float(np.hypot(*pose.size_px)),
        turn_deg=math.degrees(turn_rad),
        turn=turn,
        wall_mm=(float(walls.finished.step_mm * len(view.turn_rad)), blank.wall.length_mm),
        roles=tuple(roles_held(walls, decals)),
        decals=decals,
        fade=fade_held(walls, decals),
        notes=(*notes, *_notes(lens, stand.distance_sigma)),
    )
    sentences = finished_sentences(facts)
    return Finished(
        facts, sentences, draw_finished(facts, sentences, _pictures(walls, promised[..., 3]))
    )


def _with_lid(design: Design, lid: bool) -> Design:
    """The design as it was photographed, with its lid or without."""
    if design.document.blank.lid == lid:
        return design
    blank = design.document.blank.model_copy(update={"lid": lid})
    return replace(design, document=design.document.model_copy(update={"blank": blank}))


def _turn(view: WallView, flat: Light, told: Told) -> tuple[Turn | None, float, list[str]]:
    """The turn as the decoration tells it, near the one that is given; what is unsure of it."""
    given = None if told.turn_deg is None else math.radians(told.turn_deg)
    within = math.pi if given is None else _NEAR_RAD
    found = find_turn(view, flat, near_rad=given, within_rad=within)
    if found is None:
        note = "the decoration does not tell which side of the cup this is; "
        taken = "the turn is taken as given" if given is not None else "the front is taken"
        return None, given or 0.0, [note + taken]
    if found.sure or given is not None:
        return found, found.turn_rad, []
    others = ", ".join(f"{math.degrees(rival) % 360:.0f}°" for rival in found.rivals_rad[:4])
    note = f"the cup may as well be turned to {others}: give the turn if it is"
    return found, found.turn_rad, [note]


def _promised(
    cup: Cup, pose: Pose, turn_rad: float, light: str, renderer: RenderProcess, progress: Progress
) -> Light:
    """The promised cup by the photo's own camera, a white card at 1, on nothing: (h, w, 4).

    A camera gathers a pixel's light before it clips, so light is summed before the tone curve.
    """
    request = Request(
        width_px=pose.size_px[0],
        height_px=pose.size_px[1],
        samples=_SAMPLES,
        turn_rad=turn_rad,
        camera=pose.camera(),
        light=light,
        table=cup.table(illuminant_of(light)),
        foil=foil_quality(cup.model.skin, cup.optics()),
    )
    drawn = renderer.draw(
        cup.model, request, transparent=True, keep_linear=True, progress=progress
    ).linear
    assert drawn is not None
    shown = tone(drawn[..., :3] * np.float32(find_light(light).exposure))
    return np.concatenate([shown / np.float32(WHITE_CARD), drawn[..., 3:]], axis=-1)


def _notes(lens: Lens, distance_sigma: float) -> list[str]:
    notes = [
        "what lies under the coat is looked up where its face bends the light to; the coat is "
        "taken as thick as the design has it",
        "colours are those beside the card: a lamp that the cup mirrors and the card does not "
        "counts as colour of the cup",
    ]
    if lens.log_sigma > 0.1:
        notes.insert(
            0,
            f"the photo does not tell its lens: the distance is known to {100 * distance_sigma:.0f}"
            " %, places on the wall are surer than that",
        )
    return notes


def _pictures(walls: Walls, covered: Light) -> FinishedPictures:
    """Both cups cropped alike, both walls with the rim at the top, and where they differ."""
    box = _box(covered)
    on_paper = walls.rgb[0] + (1 - covered[..., None]) * np.float32(_PAPER)
    shown = [rgb8_from_linear(np.clip(rgb[box], 0, 1)) for rgb in (on_paper, walls.rgb[1])]
    rolled = [
        rgb8_from_linear(np.where(view.shown[..., None], np.clip(view.rgb, 0, 1), 1.0))[::-1]
        for view in (walls.promised, walls.finished)
    ]
    return FinishedPictures(
        shown[0], shown[1], covered[box] > 0.5, rolled[0], rolled[1],
        difference_map(walls.promised, walls.finished)[::-1],
    )  # fmt: skip


def _box(covered: Light) -> tuple[slice, slice]:
    """The part of the picture that holds the cup, with some air."""
    rows, columns = np.nonzero(covered > 0)
    air = round(0.05 * (rows.max() - rows.min()))
    height, width = covered.shape
    return (
        slice(max(rows.min() - air, 0), min(rows.max() + air, height)),
        slice(max(columns.min() - air, 0), min(columns.max() + air, width)),
    )


def keep_photo(
    store: Store,
    order: int,
    photo: Path,
    output: Path,
    told: Told,
    palette: str | None,
    *,
    progress: Progress = Quiet,
) -> Finished:
    """Hold a photo against an order's design, and keep both pictures and the facts.

    What the customer approved last is taken, else the design as it is now, or under `palette`.

    Raises
    ------
    StoreError
        There is no such order, or it has no design.
    PhotoError
        The photo cannot be measured; nothing is kept then.
    """
    store.book.order(order)
    approved = next(iter(store.approvals.of_order(order)), None)
    if approved is not None:
        design = store.revisions.find(order, approved.revision).design()
        design = design.with_palette(palette or approved.palette)
    else:
        design = _draft(store, order)
        design = design if palette is None else design.with_palette(palette)
    given = photo.read_bytes()
    held = hold_photo(design, photo, told, progress=progress)
    write_picture(held.picture, output)
    store.finished.add(
        order,
        fingerprint=held.facts.fingerprint,
        photo=given,
        facts=held.as_json(),
        picture=output.read_bytes(),
        revision=None if approved is None else approved.revision,
    )
    return held


def _draft(store: Store, order: int) -> Design:
    draft = store.drafts.current(order)
    if draft is None:
        raise StoreError(
            f"order {order} has no design yet", where=store.where, remedy="Enter one first"
        )
    return draft.design()

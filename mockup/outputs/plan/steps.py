"""The steps that a design is made in, from the steel outward, with minutes at the bench and waits.

The steps, their products and their coats are those that amounts and price count. Drying hours of
the shelf hold at a reference temperature; by its law, half again as long for every so many degrees
colder, they are taken to the room's, waits rounded up and windows down to five minutes.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from mockup.design.document import Design
from mockup.design.layers import layer_title
from mockup.design.products import Drying, Epoxy
from mockup.design.shelf import Minutes, Shelf
from mockup.outputs.plan.choice import (
    adhesive_under,
    clear_coat,
    coats_of,
    label_of,
    paint_for,
    sealer_on,
)
from mockup.outputs.plan.tasks import Task

__all__ = ["Step", "bench_minutes", "steps"]

ROUNDED_MIN = 5  # clocks in workshops are not read closer
_SANDABLE = ("paint", "coat", "varnish")
_CARRIES_ON = ("paint", "wrap", "seal", "glitter", "coat", "varnish")  # lay something wet


@dataclass(frozen=True, slots=True)
class Step:
    """One step on a number of cups. `kind` is its key in the shelf's handling and in the cautions.

    Attributes
    ----------
    layer
        Index in the document; None for what is done to the whole cup.
    coat, coats
        Which coat of the layer with this product; 0 where there are none to count.
    product
        What is laid, as the shelf calls it.
    task
        Minutes at the bench, of waiting, of the recoat window, on the rack.
    """

    kind: str
    title: str
    task: Task
    layer: int | None = None
    coat: int = 0
    coats: int = 0
    product: str = ""


@dataclass(frozen=True, slots=True)
class _Laid:
    """A step before its waits are known: they depend on what comes next."""

    kind: str
    title: str
    layer: int | None = None
    coat: int = 0
    coats: int = 0
    product: str = ""
    drying: Drying | None = None


def steps(design: Design, shelf: Shelf, *, cups: int = 1) -> tuple[Step, ...]:
    """Every step of making `cups` cups side by side, in order.

    What is done to several cups takes its setting up once. The first of them waits for the last,
    and the last for the others, so recoat windows are shorter by setting up and by the time that
    the other cups take: each single cup is coated within its window.

    Raises
    ------
    DesignError
        The shelf has no product for a layer.
    """
    laid = list(_laid(design, shelf))
    followed = zip(laid, [*laid[1:], None], strict=True)
    return tuple(_timed(this, after, shelf, cups) for this, after in followed)


def bench_minutes(each: Minutes, cups: int) -> int:
    """Whole minutes at one go, at least one."""
    return max(1, math.ceil(round(each.setup_min + each.cup_min * cups, 6)))


def _laid(design: Design, shelf: Shelf) -> Iterator[_Laid]:
    yield _Laid("prepare", "Clean and key the steel")
    yield _Laid("mask", "Mask rim and foot, cover the inside")
    layers = design.document.layers
    for index, layer in enumerate(layers):
        if layer.kind == "decal":
            name = layer_title(layer) if layer.name or layer.text else "the decal"
            first = ", undermost piece first" if layer.backing else ""
            yield _Laid("decal", f"Cut, weed and lay {name}{first}", index)
        else:
            films = list(_films(design, shelf, index))
            for i, film in enumerate(films):
                same = [f.kind == film.kind for f in films]
                yield replace(film, coat=1 + sum(same[:i]), coats=sum(same))
            if films[-1].kind == "coat" and index + 1 < len(layers):
                yield _Laid("sand", "Level high spots, sand wet", index)
                yield _Laid("wash", "Wash off the dust, dry", index)
    yield _Laid("edges", "Unmask, trim rim and foot, seal the edge")
    yield _Laid("hand_over", "Look over, photograph, pack")


def _films(design: Design, shelf: Shelf, index: int) -> Iterator[_Laid]:
    """Every wet film of a layer."""
    layer = design.document.layers[index]
    match layer.kind:
        case "base":
            paint = paint_for(design, shelf, layer)
            title = f"Paint {label_of(design, layer.swatch)}"
            film = _Laid("paint", title, index, product=paint.name, drying=paint.drying)
            yield from [film] * paint.coats
        case "wrap":
            glue = adhesive_under(shelf, "wrap")
            if glue is not None:
                title = f"Lay {layer.name or 'the wrap'} on adhesive, no trapped air"
                yield _Laid("wrap", title, index, product=glue.name, drying=glue.drying)
            sealer = sealer_on(shelf, layer)
            if sealer is not None:
                film = _Laid("seal", f"Seal the {layer.sheet}", index, product=sealer.name)
                yield from [replace(film, drying=sealer.drying)] * sealer.coats
        case "glitter":
            bed = adhesive_under(shelf, "glitter")
            wet = bed or shelf.product(Epoxy)
            title = f"Strew {layer.name or 'the glitter'} on wet {wet.name}, gather the rest"
            film = _Laid("glitter", title, index, product=wet.name, drying=wet.drying)
            yield from [film] * (bed.coats if bed is not None else 1)
        case "coat":
            clear = clear_coat(shelf, layer)
            kind = "coat" if isinstance(clear, Epoxy) else "varnish"
            coats = coats_of(clear, layer.thickness_mm)
            title = f"{layer_title(layer)}, {layer.thickness_mm / coats:.2f} mm"
            film = _Laid(kind, title, index, product=clear.name, drying=clear.drying)
            yield from [film] * coats


def _timed(this: _Laid, after: _Laid | None, shelf: Shelf, cups: int) -> Step:
    handling = shelf.handling
    each: Minutes = getattr(handling, this.kind)
    task = Task(bench_minutes(each, cups), after_cure=this.kind == "hand_over")
    if this.drying is not None and after is not None:
        following: Minutes = getattr(handling, after.kind)
        queue = following.setup_min + (cups - 1) * max(each.cup_min, following.cup_min)
        task = _dried(task, this, after.kind, shelf.workshop.room_c, queue)
        if task.window_min is not None and this.kind in _SANDABLE:
            sanding = bench_minutes(handling.sand, cups) + bench_minutes(handling.wash, cups)
            task = replace(task, sand_min=sanding)
    title = this.title[:1].upper() + this.title[1:]
    if this.coats > 1:
        title += f": coat {this.coat} of {this.coats}"
    return Step(this.kind, title, task, this.layer, this.coat, this.coats, this.product)


def _dried(task: Task, this: _Laid, after: str, room_c: float, queue: float) -> Task:
    """With the waits that the film asks for before a step of the kind `after`."""
    drying = this.drying
    assert drying is not None
    slower = 60 * drying.factor(room_c)  # minutes for each hour of the data sheet
    recoat = _up(drying.recoat_from_h * slower)
    sandable = _up(max(drying.recoat_from_h, drying.sand_from_h or 0.0) * slower)
    window = None
    if after in _CARRIES_ON and drying.recoat_until_h is not None:
        window = max(0, _down(drying.recoat_until_h * slower - queue))
    return replace(
        task,
        ready_min=sandable if after in ("sand", "edges") else recoat,
        window_min=window,
        drying_min=_up(drying.touch_dry_h * slower),
        sand_after_min=sandable,
        cure_min=_up(drying.cure_h * slower),
    )


def _up(minutes: float) -> int:
    return math.ceil(round(minutes / ROUNDED_MIN, 6)) * ROUNDED_MIN


def _down(minutes: float) -> int:
    return math.floor(round(minutes / ROUNDED_MIN, 6)) * ROUNDED_MIN

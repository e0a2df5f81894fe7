"""A figure of the shelf changes what is worked out from it, and nothing else of the plan."""

from datetime import datetime

import pytest

from mockup.blank.wall import build_blank
from mockup.outputs.plan.days import batches, days_as_json, schedule
from mockup.outputs.plan.making import making, making_as_json
from tests.outputs.plan.orders import BASE, COAT, changed, design_of, glitter, typical

FABRIC = {"kind": "wrap", "artwork": "assets/square.svg", "sheet": "fabric"}
DECAL = {
    "kind": "decal",
    "swatch": "foil",
    "text": "SEAT 7",
    "letter_height_mm": 12,
    "place": {"height_mm": 80},
    "backing": [{"swatch": "mark", "outset_mm": 2}],
}
VARNISH = COAT | {"thickness_mm": 0.03}
DESIGN = design_of(
    [BASE, FABRIC, glitter({"shape": "scatter", "coverage": 0.4}), COAT, DECAL, COAT, VARNISH]
)
BLANK = build_blank(DESIGN.document.blank, where="blank")
START = datetime(2026, 6, 1)


def facts(shelf, design=DESIGN):
    """Every figure of the plan by its place; for the price its cost, before it is rounded up."""
    blank = build_blank(design.document.blank, where="blank")
    plan = making_as_json(making(design, blank, shelf, cups=3))
    days = days_as_json(schedule(batches(design, shelf, cups=3), shelf, start=START))
    found = {
        "flat": plan["flat"],
        "mixes": plan["mixes"],
        "price": plan["price"]["inner"]["cost_minor"],
    }
    for amount in plan["amounts"]:
        whole = found.setdefault(amount["kind"], [])
        whole.append((amount["layer"], amount["amount_before_loss"], amount["amount"]))
    for work in plan["work"]:
        found[f"handling {work['step']}"] = work["minutes"]
    found["days"] = [
        (s["step"], s["layer_index"], s["starts"], s["ends"], s["next_from"], s["next_until"])
        for s in days["steps"]
    ]
    found["cautions"] = [text for text in plan["cautions"] if "room of" in text]
    return found


BEFORE = facts(typical())


def moved(after):
    """Places that are not as before."""
    return {place for place in BEFORE | after if BEFORE.get(place) != after.get(place)}


PAID = {"price"}
LIQUID = {"days"}
CHANGES = {  # kind, figure → value, what must change, what may change with it
    ("paint", "pack_price_minor"): (4000, PAID, set()),
    ("paint", "loss_share"): (2.0, PAID | {"paint"}, set()),
    ("paint", "spread_m2_per_l"): (1.0, PAID | {"paint"}, set()),
    ("paint", "coats"): (3, PAID | {"paint", "handling paint", "days"}, set()),
    ("adhesive", "spread_m2_per_l"): (1.0, PAID | {"adhesive"}, set()),
    ("sealer", "loss_share"): (5.0, PAID | {"sealer"}, set()),
    ("sealer", "coats"): (3, PAID | {"sealer", "handling seal", "days"}, set()),
    ("varnish", "solids_share"): (0.1, PAID | {"varnish"}, set()),
    ("epoxy", "loss_share"): (1.0, PAID | {"epoxy", "mixes"}, {"sundry"}),
    ("epoxy", "smallest_batch_ml"): (90, PAID | {"epoxy", "mixes"}, set()),
    ("epoxy", "ratio_a"): (2.0, {"mixes"}, set()),
    ("epoxy", "pack_price_minor"): (9000, PAID, set()),
    ("epoxy", "coat_mm"): (
        0.25,
        PAID | {"mixes", "handling coat", "days", "sundry"},
        {"epoxy"},
    ),
    ("glitter", "film_thickness_mm"): (0.5, PAID | {"glitter"}, set()),
    ("glitter", "density_g_per_cm3"): (9.0, PAID | {"glitter"}, set()),
    ("foil", "frame_mm"): (30.0, PAID | {"foil", "adhesive_sheet"}, set()),
    ("foil", "pack_price_minor"): (90_000, PAID, set()),
    ("adhesive_sheet", "loss_share"): (3.0, PAID | {"adhesive_sheet"}, set()),
    ("vinyl", "frame_mm"): (30.0, PAID | {"vinyl"}, set()),
    ("wrap_sheet", "loss_share"): (3.0, PAID | {"wrap_sheet"}, set()),
    ("blank", "pack_price_minor"): (5000, PAID, set()),
}


@pytest.mark.parametrize(("kind", "figure"), CHANGES)
def test_a_products_figure_changes_its_own_rows_alone(kind, figure):
    value, must, may = CHANGES[kind, figure]

    after = moved(facts(typical(**{kind: {figure: value}})))

    assert must <= after <= must | may


WORKSHOP = {
    ("workshop", "room_c"): (14.0, {"days", "cautions"}, set()),
    ("workshop", "closes_h"): (13.0, {"days"}, set()),
    ("rates", "hourly_rate_minor"): (3000, PAID, set()),
    ("rates", "waste_share"): (1.0, PAID, set()),
    ("rates", "quantities"): ((1, 50), set(), set()),
}


@pytest.mark.parametrize(("part", "figure"), WORKSHOP)
def test_a_figure_of_the_workshop_changes_what_depends_on_it(part, figure):
    value, must, may = WORKSHOP[part, figure]

    after = moved(facts(changed(typical(), part, **{figure: value})))

    assert must <= after <= must | may


def test_a_smaller_rack_sets_up_more_often():
    """Two racks for three cups: setting up twice, more mixes, other days; areas stay."""
    after = moved(facts(changed(typical(), "workshop", rack_cups=2)))

    work = {place for place in BEFORE if place.startswith("handling")}
    assert work | {"days", "price"} <= after
    assert not after & {"flat", "paint", "adhesive", "glitter", "foil", "vinyl", "wrap_sheet"}


def test_a_thicker_coat_changes_resin_alone():
    thicker = [layer.model_dump(exclude_none=True) for layer in DESIGN.document.layers]
    thicker[5] |= {"thickness_mm": 0.45}

    after = moved(facts(typical(), design_of(thicker)))

    assert {"epoxy", "mixes", "price"} <= after <= {"epoxy", "mixes", "price", "sundry"}

"""Amounts from areas and the shelf's figures; each against the trade's own arithmetic."""

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.blank.wall import build_blank
from mockup.design.products import Epoxy
from mockup.errors import DesignError
from mockup.outputs.cut.goods import goods
from mockup.outputs.cut.make import cut_files
from mockup.outputs.pieces import pieces
from mockup.outputs.plan.amounts import amounts, cups_per_mix, split
from mockup.outputs.plan.figures import counted
from mockup.outputs.plan.needs import needs
from mockup.outputs.plan.steps import steps
from mockup.outputs.wall_section import wall_section
from tests.outputs.plan.orders import BASE, COAT, changed, design_of, glitter, typical

AREA_MM2 = math.pi * 73 * 150
SEAL = {"kind": "wrap", "artwork": "assets/square.svg", "sheet": "fabric"}
NAME = {
    "kind": "decal",
    "name": "name",
    "swatch": "foil",
    "text": "EIGHT",
    "letter_height_mm": 12,
    "place": {"height_mm": 70},
    "backing": [{"swatch": "mark", "outset_mm": 1.0}],
}


def order(layers, *, cups=1, shelf=None, blank=None):
    """Amounts and mixes of one order, by the typical shelf unless another is given."""
    design = design_of(layers) if blank is None else design_of(layers, blank)
    shelf = shelf or typical()
    built = build_blank(design.document.blank, where="blank")
    return amounts(needs(design, built, shelf), shelf, cups)


def of_kind(found, kind):
    return [amount for amount in found if amount.product.kind == kind]


def test_paint_goes_as_far_as_its_spread_rate_says():
    """0.0344 m² at 8 m²/L is 4.30 mL a coat."""
    shelf = typical(paint={"spread_m2_per_l": 8.0, "coats": 3, "loss_share": 0.25})
    (paint,) = of_kind(order([BASE], shelf=shelf)[0], "paint")

    assert paint.amount_before_loss == pytest.approx(3 * 4.3001, abs=1e-3)
    assert paint.amount == pytest.approx(1.25 * 3 * 4.3001, abs=1e-3)
    assert paint.material == "spray paint for metal, navy"


def test_a_coat_is_area_times_thickness_and_a_third_of_the_mix_is_lost():
    (coat,) = of_kind(order([BASE, COAT])[0], "epoxy")

    assert coat.amount_before_loss == pytest.approx(13.760, abs=5e-4)
    assert coat.amount == pytest.approx(1.5 * 13.76017, abs=5e-4)
    assert coat.unit == "mL"
    assert sum(part.ml for part in coat.parts) == pytest.approx(coat.amount, abs=1e-4)


def test_varnish_is_counted_wet():
    """30 µm dry at 40 % solids are laid 75 µm wet: 2.580 mL."""
    shelf = typical(varnish={"solids_share": 0.4})
    found, mixed = order([BASE, {"kind": "coat", "thickness_mm": 0.03}], shelf=shelf)
    (varnish,) = of_kind(found, "varnish")

    assert varnish.amount_before_loss == pytest.approx(AREA_MM2 * 0.075 / 1000, abs=5e-4)
    assert mixed == ()


def test_a_thick_layer_is_poured_in_coats_that_stay_on():
    """0.8 mm, at most 0.3 mm a coat: three of 0.267 mm."""
    shelf = typical(epoxy={"coat_mm": 0.3, "smallest_batch_ml": 0.0})
    found, mixed = order([BASE, {"kind": "coat", "thickness_mm": 0.8}], shelf=shelf)

    assert [mix.coat for mix in mixed] == [1, 2, 3]
    assert {mix.coats for mix in mixed} == {3}
    net_ml = sum(mix.ml for mix in mixed) / 1.5
    assert net_ml == pytest.approx(AREA_MM2 * 0.8 / 1000)
    assert of_kind(found, "epoxy")[0].amount == pytest.approx(net_ml * 1.5, abs=1e-4)


def test_too_small_a_batch_is_raised_and_said_so():
    shelf = typical(epoxy={"smallest_batch_ml": 40.0})
    found, (mix,) = order([BASE, COAT], shelf=shelf)

    assert (mix.ml, mix.raised) == (40.0, True)
    (coat,) = of_kind(found, "epoxy")
    assert coat.amount == 40.0
    assert "smallest" in coat.factor
    assert "raised" in coat.formula


def test_the_parts_by_weight_and_by_volume_of_a_published_ratio():
    """100 : 44 by weight with 1.16 and 0.97 g/mL is 100 : 52.6 by volume.

    44 / 0.97 ÷ (100 / 1.16) = 0.5262, worked out by hand.
    """
    keys = {"density_a_g_per_ml": 1.16, "density_b_g_per_ml": 0.97}
    by_weight = {**keys, "ratio_by": "weight", "ratio_a": 100.0, "ratio_b": 44.0}
    by_volume = {**keys, "ratio_by": "volume", "ratio_a": 1.0, "ratio_b": 0.5262}
    first, second = (
        split(typical(epoxy=ratio).product(Epoxy), 60.0) for ratio in (by_weight, by_volume)
    )

    assert first[1].g / first[0].g == pytest.approx(0.44)
    assert first[1].ml / first[0].ml == pytest.approx(0.5262, abs=5e-5)
    for a, b in zip(first, second, strict=True):
        assert (a.ml, a.g) == pytest.approx((b.ml, b.g), rel=1e-4)


densities = st.floats(0.8, 1.6)
ratios = st.floats(0.2, 10)


@given(a=ratios, b=ratios, dense_a=densities, dense_b=densities, ml=st.floats(1, 500))
def test_the_parts_add_up_and_keep_their_ratio(a, b, dense_a, dense_b, ml):
    """The volumes fill the mix; the ratio holds in the measure that the data sheet gives it in."""
    keys = {"ratio_a": a, "ratio_b": b}
    keys |= {"density_a_g_per_ml": dense_a, "density_b_g_per_ml": dense_b}
    for measure in ("volume", "weight"):
        parts = split(RESIN.model_copy(update={**keys, "ratio_by": measure}), ml)
        first, second = ((p.ml if measure == "volume" else p.g) for p in parts)

        assert parts[0].ml + parts[1].ml == pytest.approx(ml)
        assert first * b == pytest.approx(second * a, rel=1e-9)
        assert parts[0].g == pytest.approx(parts[0].ml * dense_a)
        assert parts[1].g == pytest.approx(parts[1].ml * dense_b)


RESIN = typical().product(Epoxy)


@given(
    cups=st.integers(1, 40),
    rack=st.integers(1, 12),
    working_min=st.floats(5, 120),
    largest_ml=st.floats(25, 600),
)
@settings(max_examples=60, deadline=None)
def test_mixes_coat_every_cup_within_the_resins_limits(cups, rack, working_min, largest_ml):
    """Each cup gets each coat once; no mix is too large, or for more than can be done in time."""
    keys = {"working_time_min": working_min, "largest_batch_ml": largest_ml}
    shelf = changed(typical(epoxy=keys), "workshop", rack_cups=rack)
    found, mixed = order([BASE, {"kind": "coat", "thickness_mm": 0.8}], cups=cups, shelf=shelf)
    (resin,) = of_kind(found, "epoxy")

    for coat in (1, 2):
        assert sum(m.cups * m.times for m in mixed if m.coat == coat) == cups
    for mix in mixed:
        assert mix.ml <= largest_ml * (1 + 1e-9)
        assert mix.cups <= max(1, rack)
        assert mix.cups == 1 or mix.cups * 8 <= working_min
        assert mix.ml >= 20
    assert resin.amount == pytest.approx(sum(m.ml * m.times for m in mixed), abs=1e-3)
    assert resin.amount >= 1.5 * resin.amount_before_loss - 1e-3


def test_a_cup_too_large_for_one_batch_is_mixed_in_portions():
    shelf = typical(epoxy={"largest_batch_ml": 12.0, "smallest_batch_ml": 5.0})
    _, (mix,) = order([BASE, COAT], shelf=shelf)

    assert (mix.cups, mix.times) == (1, 2)
    assert mix.ml == pytest.approx(1.5 * 13.76017 / 2, abs=1e-4)
    assert cups_per_mix(shelf.product(Epoxy), shelf, 13.76) == 1


def test_a_mix_of_glitters_is_shared_out_and_each_film_has_its_weight():
    """3 : 1 of one film are 3 : 1 in grams, together what one alone would weigh."""
    even = {"shape": "scatter", "coverage": 0.5}
    mix = ({"swatch": "flake", "share": 3.0}, {"swatch": "second", "share": 1.0})
    whole = of_kind(order([BASE, glitter(even)])[0], "glitter")
    shared = of_kind(order([BASE, glitter(even, mix=mix)])[0], "glitter")

    assert whole[0].amount_before_loss == pytest.approx(
        math.log(2) * AREA_MM2 * 0.05 * 1.38e-3, abs=5e-4
    )
    assert [amount.material for amount in shared] == [
        "polyester glitter, silver flake",
        "polyester glitter, copper flake",
    ]
    first, second = (amount.amount_before_loss for amount in shared)
    assert first == pytest.approx(3 * second, abs=1e-3)
    assert first + second == pytest.approx(whole[0].amount_before_loss, abs=1e-3)


def test_without_an_adhesive_glitter_is_strewn_on_a_bed_of_resin():
    """Only where it lies: a band of 50 mm round the cup, 0.1 mm thick, is 1.147 mL."""
    shelf = typical(adhesive={"under": ["wrap"]}, epoxy={"bed_mm": 0.1})
    band = glitter({"shape": "band", "from_mm": 40, "to_mm": 90, "coverage": 0.5})
    found, (mix,) = order([BASE, band], shelf=shelf)
    (bed,) = of_kind(found, "epoxy")

    assert bed.amount_before_loss == pytest.approx(math.pi * 73 * 50 * 0.1 / 1000, abs=1e-3)
    assert not of_kind(found, "adhesive")
    assert (mix.layer, mix.ml, mix.raised) == ("Glitter", 20, True)


def test_a_wrap_over_glitter_saves_no_glitter():
    """What is hidden later has been strewn all the same."""
    even = glitter({"shape": "scatter", "coverage": 0.5})
    wrap = {"kind": "wrap", "artwork": "assets/square.svg"}
    bare, covered = (
        of_kind(order(layers)[0], "glitter")[0].amount for layers in ([even], [even, wrap])
    )

    assert covered == bare


def test_fabric_is_glued_sealed_and_cut_with_its_overlap():
    """Once round with 3 mm of overlap; 2 mm of trim at rim and foot, 5 mm of the sheet's edge."""
    found, _ = order([BASE, SEAL])
    (sheet,) = of_kind(found, "wrap_sheet")
    (glue,), (sealer,) = of_kind(found, "adhesive"), of_kind(found, "sealer")
    wide = math.pi * 73 + 3

    assert sheet.product.sheet == "fabric"
    assert sheet.amount_before_loss == pytest.approx((wide + 10) * (154 + 10) / 100, abs=1e-3)
    assert glue.amount_before_loss == pytest.approx(wide * 150 / 8 / 1000, abs=1e-3)
    assert sealer.amount_before_loss == pytest.approx(wide * 150 / 10 / 1000 * 2, abs=1e-3)


@pytest.mark.parametrize("layer", [SEAL | {"sheet": "film"}, SEAL | {"sealed": False}])
def test_film_and_open_sheets_take_no_sealer(layer):
    assert not of_kind(order([BASE, layer])[0], "sealer")


def test_foil_lies_on_adhesive_sheet_and_vinyl_on_its_own():
    """One frame alone: the piece, its margin for crosses, its label, and the sheet's edge."""
    found, _ = order([BASE, NAME])
    design = design_of([BASE, NAME])
    cut = pieces(design, build_blank(design.document.blank, where="blank"))

    (foil,), (under,) = of_kind(found, "foil"), of_kind(found, "adhesive_sheet")
    (vinyl,) = of_kind(found, "vinyl")
    assert foil.amount_before_loss == under.amount_before_loss
    for amount, piece in ((vinyl, cut[0]), (foil, cut[1])):
        west, south, east, north = cut[0].outline.bounds  # frames are alike: of the larger piece
        label = {"vinyl": 2, "foil": 2}[piece.material] * 2.7 + 1.0
        wide, high = east - west + 2 * 6.5, north - south + 2 * 6.5 + label
        expected = (wide + 10) * (high + 10) / 100
        assert amount.amount_before_loss == pytest.approx(expected, abs=1e-3)
        assert amount.amount_before_loss > piece.area_mm2 / 100


TWO = [NAME, NAME | {"name": "again", "place": {"height_mm": 110}, "letter_height_mm": 9}]


@pytest.mark.parametrize("cups", [1, 3, 14])
def test_the_plan_counts_the_rectangles_that_the_cut_sheets_draw(cups):
    """The used rectangles read off the cut sheets' words, with the times that they are cut."""
    design = design_of([BASE, *TWO])
    blank = build_blank(design.document.blank, where="blank")
    shelf = typical()
    files = cut_files(design, blank, shelf, cups=cups).files
    found, _ = amounts(needs(design, blank, shelf), shelf, cups)
    for kind, name in (("foil", "foil-foil"), ("vinyl", "vinyl-mark")):
        drawn = 0.0
        for file, data in files.items():
            if file.startswith(name):
                svg = data.decode()
                wide, high = re.search(r"mm, ([\d.]+) × ([\d.]+) mm of it used", svg).groups()
                times = re.search(r"Cut this sheet (\d+) times", svg)
                drawn += float(wide) * float(high) * int(times[1] if times else 1)
        planned = sum(a.amount_before_loss for a in of_kind(found, kind))

        assert planned * 100 == pytest.approx(drawn, rel=1e-3)  # the words are to 0.1 mm


def test_every_cup_of_an_order_is_cut_once():
    """Pieces on all sheets, as often as they are cut: two layers' worth for each cup."""
    design = design_of([BASE, *TWO])
    blank = build_blank(design.document.blank, where="blank")
    lots = goods(design, blank, typical(), pieces(design, blank))
    for lot in lots:
        for cups in (1, 2, 7, 50):
            runs = lot.runs(cups)
            laid = sum(run.times * len(sheet.laid) for run in runs for sheet in run.sheets)

            assert sum(run.cups * run.times for run in runs) == cups
            assert laid == cups * len(lot.cuts)


@given(cups=st.integers(1, 60))
@settings(max_examples=10, deadline=None)
def test_need_grows_with_the_cups_and_sundries_are_whole(cups):
    """Sheets alone take less for each cup of several, and no less than their frames."""
    layers = [BASE, glitter({"shape": "scatter", "coverage": 0.5}), COAT, NAME, COAT]
    one, _ = order(layers)
    many, mixed = order(layers, cups=cups)
    by_cup = {(a.layer, a.material): a for a in one}

    for amount in many:
        before = by_cup[amount.layer, amount.material].amount_before_loss
        if amount.product.kind == "sundry":
            assert amount.amount == int(amount.amount) >= amount.amount_before_loss - 1e-9
        elif amount.product.kind in ("foil", "vinyl", "adhesive_sheet"):
            assert amount.amount_before_loss <= cups * before + 1e-3
            assert amount.amount_before_loss >= cups * 17.6  # the frame: 66 × 26.6 mm
        else:
            assert amount.amount_before_loss == pytest.approx(cups * before, abs=1e-3 * cups)
    (gloves,) = (a for a in many if a.material == "nitrile gloves")
    assert gloves.amount == 2 * cups + 2 * sum(mix.times for mix in mixed)


def test_every_figure_has_a_formula_a_factor_and_a_source():
    layers = [BASE, SEAL, glitter({"shape": "scatter", "coverage": 0.5}), NAME, COAT]
    for amount in order(layers)[0]:
        assert "=" in amount.formula
        assert "\n" not in amount.formula
        assert "=" in amount.factor
        assert amount.source.startswith("typical; from your")


@pytest.mark.parametrize("cups", [1, 8, 1000])
def test_a_formula_ends_with_the_figure_that_tables_tell(cups):
    """To the last digit, and never as a power of ten."""
    layers = [BASE, SEAL, glitter({"shape": "scatter", "coverage": 0.5}), NAME, COAT]
    for amount in order(layers, cups=cups)[0]:
        assert amount.formula.endswith(f" = {counted(amount.amount, amount.unit)}")
        assert "e+" not in amount.formula


@pytest.mark.parametrize(
    ("amount", "unit", "told"),
    [
        (1, "piece", "1 piece"), (1000, "piece", "1,000 pieces"), (0.0395, "g", "0.040 g"),
        (99.9994, "g", "99.999 g"), (217.227, "mL", "217.2 mL"), (22178.81, "cm²", "22,178.8 cm²"),
    ],
)  # fmt: skip
def test_amounts_are_told_as_a_scale_shows_them(amount, unit, told):
    assert counted(amount, unit) == told


def test_a_layer_without_a_name_is_called_as_on_the_page_of_the_cup():
    """In the amounts and in the steps."""
    design = design_of([BASE, glitter({"shape": "scatter", "coverage": 0.4}, name=""), COAT])
    shelf = typical()
    blank = build_blank(design.document.blank, where="blank")

    named = {band.index: band.title for band in wall_section(design)}

    called = {need.index: need.layer for need in needs(design, blank, shelf) if need.index >= 0}
    assert called == {0: "Base coat", 1: "Glitter", 2: "Clear coat"}
    assert called == {index: title for index, title in named.items() if index is not None}
    coats = [step.title for step in steps(design, shelf) if step.kind == "coat"]
    assert all(title.startswith(f"{called[2]}, ") for title in coats)


def test_a_shelf_without_the_product_says_which():
    shelf = typical()
    few = tuple(product for product in shelf.products if product.kind != "foil")
    with pytest.raises(DesignError, match="no foil for 'foil' or 'copper foil'"):
        order([BASE, NAME], shelf=shelf.model_copy(update={"products": few}))

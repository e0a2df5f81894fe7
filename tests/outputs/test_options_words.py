"""An option's figures in words: what is told is reached, and the gravest comes first."""

from types import SimpleNamespace

import numpy as np
import pytest

from mockup.checks.contrast import ContrastKey, DecalContrast
from mockup.checks.finding import Finding
from mockup.checks.legibility import DecalLegibility
from mockup.design.shelf import read_shelf
from mockup.material.metamers import Pair
from mockup.outputs.options_told import figures_as_json
from mockup.outputs.options_words import (
    contrast_cell,
    cost_cell,
    findings_cell,
    legibility_cell,
    matching_cell,
)
from mockup.outputs.plan.price import Line, Price

DAY = "D65"


def _shape(name="crew name", *, text=True, capital_mm=18.0):
    return SimpleNamespace(name=name, text=text, capital_mm=capital_mm, stroke_mm=3.0, layer=4)


def _contrast(ratios, *, name="crew name", limit=3.0, **for_eyes):
    """A decal with a station of 1 mm for each ratio, for normal eyes and for others."""
    count = len(ratios)
    stations = SimpleNamespace(
        turn_rad=np.zeros(count), height_mm=np.arange(count) * 1.0, length_mm=np.ones(count)
    )
    figures = {
        ContrastKey(DAY, vision): np.array(of, float)
        for vision, of in {"normal": ratios, **for_eyes}.items()
    }
    return DecalContrast(_shape(name), stations, limit, figures, figures, figures)


def _read(contrast, *, name="crew name", text=True):
    """Round one turn in one light from one elevation."""
    turns = tuple(np.arange(len(contrast)) * 10.0)
    return DecalLegibility(
        _shape(name, text=text), ("softbox",), (10.0,), turns, np.array([[contrast]], float)
    )


def test_the_weakest_place_of_the_decal_that_lacks_most_is_told():
    """2.8 of 3 lacks less than 3.9 of 4.5, though it is the smaller ratio."""
    large, small = _contrast([2.8, 9.0], name="oars"), _contrast([3.9, 9], name="date", limit=4.5)

    cell = contrast_cell([large, small])

    assert cell.figure == "3.9\u00a0:\u00a01"
    assert cell.detail == "Date, where it is weakest, by daylight; 4.5\u00a0:\u00a01 is asked for"


@pytest.mark.parametrize(
    ("ratios", "verdict", "trouble"),
    [
        ([3.0, 8, 8, 8], "enough", False),
        ([2.9, 8, 8, 8], "too little in places", True),
        ([2.9, 2.9, 2.9, 8], "too little", True),
    ],
)
def test_contrast_is_judged_by_the_share_of_the_edge_that_misses(ratios, verdict, trouble):
    cell = contrast_cell([_contrast(ratios)])

    assert (cell.verdict, cell.trouble) == (verdict, trouble)


def test_a_ratio_is_never_told_higher_than_it_is():
    """2.99 is not 3, and 3 is not 2.9."""
    assert contrast_cell([_contrast([2.99])]).figure == "2.9\u00a0:\u00a01"
    assert contrast_cell([_contrast([3.0])]).figure == "3.0\u00a0:\u00a01"


def test_other_eyes_are_told_of_where_only_they_miss():
    other = _contrast([4.0, 5.0], protan=[2.4, 5], deutan=[3.2, 5], tritan=[4, 5])

    assert "; only 2.4\u00a0:\u00a01 for protan eyes" in contrast_cell([other]).detail
    assert "eyes" not in contrast_cell([_contrast([2.0, 5.0], protan=[1.4, 5])]).detail


def test_a_cup_without_decals_has_nothing_to_judge():
    for cell in (contrast_cell([]), legibility_cell([])):
        assert (cell.figure, cell.verdict, cell.trouble) == ("none", "", False)
    assert contrast_cell([_contrast([np.nan])]).figure == "none"
    assert legibility_cell([_read([np.nan, np.nan])]).figure == "none"


@pytest.mark.parametrize(
    ("good", "verdict"),
    [(10, "reads"), (9, "reads"), (8, "fades"), (5, "fades"), (4, "hard to read")],
)
def test_legibility_is_the_share_of_the_views_that_reach_what_is_asked(good, verdict):
    cell = legibility_cell([_read([3.0] * good + [1.55] * (10 - good) + [np.nan] * 5)])

    assert (cell.figure, cell.verdict) == (f"{good} of 10 views", verdict)
    worst = "3.0" if good == 10 else "1.5"
    assert cell.detail.endswith(f"{worst}\u00a0:\u00a01 at the worst")


def test_words_are_to_be_read_and_ornaments_are_not():
    """Of words the one that is read least; a border only where there is no word."""
    border, crew = _read([1.0, 1.0], name="border", text=False), _read([9.0, 9.0])
    seat = _read([9.0, 1.0], name="seat number")

    assert "seat number" in legibility_cell([border, crew, seat]).detail
    assert "border" in legibility_cell([border]).detail


LABELS = {"a": "navy vinyl", "b": "dyed cloth"}


def test_colours_that_part_by_other_lamps_are_told_with_the_lamps():
    parting = matching_cell(Pair("a", "b", 0.62, "D65", 4.18, "LED-B1"), LABELS)
    holding = matching_cell(Pair("a", "b", 8.0, "A", 9.0, "D65"), LABELS)

    assert (parting.figure, parting.verdict, parting.trouble) == (
        "ΔE\u00a00.6 to 4.2",
        "part",
        True,
    )
    assert parting.detail == "Navy vinyl and dyed cloth: alike by daylight, not by a warm LED"
    assert (holding.verdict, holding.trouble) == ("hold", False)
    assert "the nearest two: least by a filament lamp, most by daylight" in holding.detail
    assert matching_cell(None, LABELS).figure == "one"


def _price(materials, waste, cups=1):
    nothing = Line("nothing", 0, "")
    lines = tuple(Line(f"material {i}", minor, "") for i, minor in enumerate(materials))
    return Price(
        cups, 0, 0, 0, 0, lines, (), Line("waste", waste, ""), nothing, nothing, nothing, nothing
    )


def test_the_cost_is_that_of_the_price_s_own_materials_and_waste():
    cell = cost_cell(_price((1000, 234), 61), read_shelf(None).rates)

    assert cell.figure == "12.95 EUR"


def _finding(severity, advice, rule="rule"):
    return Finding(severity, rule, "cup: layers[2]", 1.0, 2.0, "mm", advice)


def test_findings_are_counted_and_the_gravest_told_first():
    found = [
        ("oars", _finding("note", "Note.", rule="fine stroke")),
        ("crew name", _finding("warn", "Warn.", rule="fades out")),
        ("wave border", _finding("warn", "Warn.", rule="low contrast")),
        ("seat number", _finding("warn", "Warn.", rule="fades out")),
    ]

    cell = findings_cell(found)

    assert (cell.figure, cell.verdict, cell.trouble) == ("4", "to look at", True)
    assert cell.detail == (
        "Fades out: crew name, seat number. Low contrast: wave border. Fine stroke: oars"
    )
    assert findings_cell(found[:1]) == ("1", "to know", False, "Fine stroke: oars")
    stopped = findings_cell([*found, ("boat", _finding("stop", "Stop."))])
    assert (stopped.verdict, stopped.detail.split(".")[0]) == ("to mend", "Rule: boat")
    assert findings_cell([]).figure == "none"


def test_figures_are_plain_values_and_those_of_the_checks():
    contrast, read = _contrast([2.0, 5.0]), _read([3.5, 2.5, np.nan])
    told = figures_as_json(
        [contrast], [read], Pair("a", "b", 0.6, "D65", 4.2, "A"), _price((100,), 5),
        [_finding("warn", "Warn.")], rates=read_shelf(None).rates,
    )  # fmt: skip

    (found,) = told["contrast"]
    assert (found["decal"], found["limit"]) == ("crew name", 3.0)
    assert found["weakest"]["normal"]["ratio"] == 2.0
    assert found["weakest"]["normal"]["share_below"] == 0.5
    assert (
        told["legibility"][0] | {"share_above_limit": 0.5, "worst": 2.5, "views": 2}
        == (told["legibility"][0])
    )
    assert told["metamerism"]["metamers"] is True
    assert told["materials"]["materials_minor"] == 100
    assert told["findings"][0]["advice"] == "Warn."

"""The check end to end: from a design file to findings, figures, a sheet and packs to look at."""

import json
import tomllib
from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from mockup import pipeline
from mockup.blank.flat import flat_from_wall, flat_outline
from mockup.checks.legibility import legibility_of
from mockup.design.pack import read_pack
from mockup.design.palette import PigmentSwatch
from mockup.design.read import read_design
from mockup.design.write import write_design
from mockup.faces.cli import cli
from mockup.files import shipped
from mockup.outputs.check_facts import CheckView, Mark
from mockup.outputs.check_sheet import TROUBLE_RGB8, draw_check
from mockup.outputs.turn_plot import draw_turn
from mockup.pipeline.check import VIEW, _cropped, _row, _shown, _turns, _views
from mockup.pipeline.checking import judge, survey
from mockup.pipeline.cup import build_cup, render_cup
from mockup.pipeline.looking import Views
from mockup.render.process import RenderProcess
from tests.checks.cups import (
    BASE,
    COAT,
    GOLD,
    INK,
    IVORY,
    NAVY,
    PALE_GOLD,
    design,
    glitter,
    scatter,
    word,
)

GOLD_ON_GOLD = [BASE, glitter(scatter(0.8)), word(), COAT]


@pytest.fixture(autouse=True)
def _few_views(monkeypatch):
    """Every fourth turn, from one height: what is tried here does not need more."""
    monkeypatch.setattr(Views, "turns_deg", property(lambda views: (0.0, 90.0, 180.0, 270.0)))


def written(folder, layers, **roles):
    return write_design(design(layers, **roles), folder)


def run(*words):
    done = CliRunner().invoke(cli, [str(word) for word in words])
    assert done.exit_code == 0, done.output
    return done.stdout


def test_gold_on_pale_gold_is_told_and_what_is_offered_passes(tmp_path):
    """The whole way: findings with figures, a sheet, and a pack that passes when it is checked."""
    path = written(tmp_path / "gold", GOLD_ON_GOLD, base=IVORY, flake=PALE_GOLD, foil=GOLD, ink=INK)

    told = json.loads(
        run("check", path, "-o", tmp_path / "check.png", "--offers", tmp_path / "offers", "--json")
    )

    (low,) = (f for f in told["findings"] if f["rule"] == "low contrast")
    assert low["severity"] == "warn"
    assert low["measured"] < 1.5 < low["limit"] == 3.0
    assert told["decals"][0]["legibility"]["lights"][0]["share_above_3"] == 0.0
    with Image.open(tmp_path / "check.png") as image:
        assert image.size[0] == 2080
    offers = sorted(path.name for path in (tmp_path / "offers").iterdir())
    assert offers == sorted(f"{r['palette']}.tumbler" for r in told["remedies"])
    assert offers
    assert low["advice"].endswith(f"{told['remedies'][0]['words']}.")
    for offer in offers:
        assert tomllib.loads(read_pack(tmp_path / "offers" / offer)["design.toml"].decode())
        again = json.loads(run("check", tmp_path / "offers" / offer, "--quick", "--json"))
        assert not [f for f in again["findings"] if f["rule"] == "low contrast"]
        assert again["remedies"] == []


def test_a_design_made_to_pass_raises_nothing(tmp_path):
    """Broad pale vinyl on navy: legible from every side in every light, and easily cut."""
    pale = PigmentSwatch(srgb="#f7f3e8", label="pale vinyl")
    bars = word("I", letter_height_mm=20, font="Source Sans Pro Bold")
    path = written(tmp_path / "plain", [BASE, bars, COAT], base=NAVY, foil=pale)

    told = run("check", path)

    assert "Nothing to remark." in told
    assert "reads from every side that shows it" in told
    assert "Options that would pass" not in told


def test_quick_leaves_out_the_look_round(tmp_path):
    path = written(tmp_path / "plain", [BASE, word(), COAT], base=NAVY, foil=GOLD)

    told = json.loads(run("check", path, "--quick", "--json"))

    assert told["decals"][0]["legibility"] is None
    assert {row["vision"] for row in told["decals"][0]["contrast"]} == {
        "normal", "protan", "deutan", "tritan",
    }  # fmt: skip
    along = told["decals"][0]["along"]
    assert [row["along_mm"] for row in along] == sorted(row["along_mm"] for row in along)
    assert min(row["ratio"] for row in along) == pytest.approx(
        told["decals"][0]["weakest"]["ratio"], abs=1e-3
    )


def test_findings_of_making_are_among_them(tmp_path):
    path = written(
        tmp_path / "fine", [BASE, word(letter_height_mm=4, font="Source Sans Pro Light"), COAT],
        base=NAVY, foil=PigmentSwatch(srgb="#ffffff"),
    )  # fmt: skip

    rules = {f["rule"] for f in json.loads(run("check", path, "--quick", "--json"))["findings"]}

    assert {"thin stroke", "small letters"} <= rules


def test_a_cup_without_decals_has_nothing_to_check(tmp_path):
    path = written(tmp_path / "bare", [BASE, glitter(scatter(0.4)), COAT], base=NAVY, flake=GOLD)

    facts = pipeline.check(path, sheet=tmp_path / "bare.png")

    assert facts.rows == ()
    assert facts.findings == ()
    assert (tmp_path / "bare.png").exists()


def test_an_unknown_palette_is_answered_by_name(tmp_path):
    path = written(tmp_path / "plain", [BASE, word(), COAT], base=NAVY, foil=GOLD)

    done = CliRunner().invoke(cli, ["check", str(path), "--palette", "nope"])

    assert done.exit_code == 1
    assert "no palette is named 'nope'" in done.stderr


@pytest.fixture(scope="module")
def demo():
    return build_cup(read_design(shipped("textures", "regatta")))


def test_the_weakest_place_on_the_flat_is_that_of_the_wall(tmp_path, demo):
    """Flat mm from the picture's corner: by the mapping of the wall, from turn and height."""
    facts = pipeline.check(shipped("textures", "regatta"), quick=True)
    corner = flat_outline(demo.blank.wall).min(axis=0)

    for row in facts.rows:
        turn = (row.place.turn_rad + np.pi) % (2 * np.pi) - np.pi
        expected = flat_from_wall(demo.blank.wall, turn, row.place.height_mm) - corner
        np.testing.assert_allclose(row.flat_mm, expected, atol=1e-9)
        assert len(row.missed_mm) == (0 if not row.trouble else len(row.missed_mm))


def test_marks_on_the_cup_lie_on_the_decal(demo):
    """On an ink-dark cup with one white bar: where its mark points, the bar's edge is seen."""
    made = design([BASE, word("I", letter_height_mm=24, place={"height_mm": 30.0, "angle_deg": 25}),
                   COAT], base=INK, foil=PigmentSwatch(srgb="#ffffff"))  # fmt: skip
    cup = build_cup(made)
    row = _row(cup, 1, judge(cup).decals[0])
    with RenderProcess() as renderer:
        (view,) = _views(cup, [row], renderer, "softbox")
    (mark,) = view.marks
    rows, columns = view.rgb8_srgb.shape[:2]
    x, y = round(mark.x * columns), round(mark.y * rows)
    near = view.rgb8_srgb[y - 4 : y + 5, x - 4 : x + 5].astype(float).mean(axis=-1)

    assert near.max() > 150
    assert near.min() < 100


@pytest.mark.parametrize(
    ("places", "turns"),
    [
        ([(0, True)], [0.0]),
        ([(20, False), (-40, False), (180, False)], [-10.0, 180.0]),
        ([(90, True), (-80, False), (-100, False)], [90.0, -90.0]),
        ([], [0.0]),
    ],
)
def test_the_cup_is_shown_from_where_most_places_are_seen(demo, places, turns):
    decal = judge(demo).decals[1]
    row = _row(demo, 1, decal)
    rows = [
        replace(
            row,
            place=row.place._replace(turn_rad=np.radians(turn), ratio=1.0 if trouble else 9.0),
        )
        for turn, trouble in places
    ]

    assert _turns(rows) == turns


def test_cropping_keeps_marks_on_their_place():
    picture = np.zeros((10, 100, 3), np.uint8)
    picture[:, 60] = 255
    view = _cropped(CheckView(0.0, picture, (Mark(1, 0.605, 0.5, True),)))
    (mark,) = view.marks

    assert view.rgb8_srgb[5, int(mark.x * view.rgb8_srgb.shape[1])].tolist() == [255, 255, 255]


def test_the_sheet_is_the_same_twice_and_marks_trouble(tmp_path, demo):
    path = written(tmp_path / "gold", GOLD_ON_GOLD, base=IVORY, flake=PALE_GOLD, foil=GOLD)
    facts = pipeline.check(path, quick=True)
    cup = build_cup(read_design(path))
    with RenderProcess() as renderer:
        shown = _shown(cup, facts, renderer, "softbox")

    one, two = draw_check(shown), draw_check(shown)

    np.testing.assert_array_equal(one, two)
    assert (one == np.array(TROUBLE_RGB8)).all(axis=-1).sum() > 500


def test_the_plot_shows_the_side_that_reads(demo):
    """Contrast of 9 seen from the right alone: ink at the right of the middle and nowhere else."""
    figures = np.full((1, 1, 8), np.nan)
    figures[0, 0, [1, 2, 3]] = 9.0
    read = legibility_of(
        survey(demo).shapes[0], figures, np.isfinite(figures[0]).astype(float), lights=("window",),
        elevations_deg=(10.0,), turns_deg=tuple(45.0 * k for k in range(8)),
    )  # fmt: skip

    plot = draw_turn(read, 3.0, 240)

    ink = np.abs(plot.astype(int) - np.array([18, 36, 66])).sum(axis=-1) < 30
    assert ink[:, 150:].sum() > 150
    assert ink[:, :115].sum() == 0


def test_a_view_is_drawn_as_render_draws_it(demo):
    """Nothing of the sheet's own: the same picture as `render` gives for that turn."""
    row = _row(demo, 1, judge(demo).decals[1])
    with RenderProcess() as renderer:
        (view,) = _views(demo, [row], renderer, "softbox")
        whole = render_cup(demo, replace(VIEW, turn_deg=view.turn_deg), renderer, light="softbox")
    cut = (whole.rgba8_srgb.shape[1] - view.rgb8_srgb.shape[1]) // 2

    np.testing.assert_array_equal(view.rgb8_srgb, whole.rgba8_srgb[:, cut:-cut, :3])

"""What is said of decals, and whether what is offered helps."""

import numpy as np
import pytest

from mockup.checks.legibility import legibility_of
from mockup.checks.reading import check_contrast, check_legibility
from mockup.checks.words import legibility_words, place_words, ratio_words
from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.design.palette import MetalSwatch, Palette, PigmentSwatch
from mockup.design.write import write_design
from mockup.material.optics import compile_swatch
from mockup.pipeline.checking import judge, remedies, survey
from mockup.pipeline.cup import build_cup
from mockup.shading.even_light import swatch_colour
from tests.checks.cups import (
    BASE,
    COAT,
    DEEP,
    GOLD,
    INK,
    IVORY,
    NAVY,
    PALE_GOLD,
    SILVER,
    design,
    fade,
    glitter,
    word,
)

GOLD_ON_GOLD = [BASE, glitter(fade(15, 45, 0.95, 0.5)), word(), COAT]
ROLES = {"base": IVORY, "flake": PALE_GOLD, "foil": GOLD}


def palette(name, **roles):
    return Palette(name=name, roles=roles)


def judged(made):
    """(cup, survey, judgement) without pictures."""
    cup = build_cup(made)
    known = survey(cup)
    return cup, known, judge(cup, surveyed=known)


def test_gold_foil_on_pale_gold_glitter_fails_with_the_right_words():
    made = design(GOLD_ON_GOLD, **ROLES)
    _, _, told = judged(made)

    (finding,) = told.findings

    assert (finding.severity, finding.rule, finding.unit) == ("warn", "low contrast", ":1")
    assert finding.where == "design.toml: layers[2]"
    assert finding.measured < 1.5
    assert finding.limit == 3.0
    assert finding.measured == told.decals[0].contrast.worst(("normal",)).ratio
    for words in ("'word' in gold foil", "pale gold flake", "needs 3.0\u00a0:\u00a01", "all along"):
        assert words in finding.advice


def test_a_word_that_stands_out_raises_nothing():
    made = design([BASE, word(), COAT], base=NAVY, foil=PigmentSwatch(srgb="#f4efe2"))

    assert judged(made)[2].findings == ()


KINDS = {
    "backing": palette("a", backing=INK),
    "decal": palette("b", foil=PigmentSwatch(srgb="#10182c", label="ink vinyl")),
    "behind": palette("c", flake=DEEP, base=NAVY),
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_remedy_of_each_kind_passes_when_applied(kind, tmp_path):
    """The changed design is built anew, and nothing is said of contrast; written, it reads back."""
    made = design(
        GOLD_ON_GOLD, more=[KINDS[kind]], **ROLES | ({"base": NAVY} if kind == "behind" else {})
    )
    cup, known, told = judged(made)

    found = remedies(cup, told, known, 0)

    remedy = next(remedy for remedy in found if remedy.kind == kind)
    after = judged(remedy.design)[2]
    assert [f for f in told.findings if f.rule == "low contrast"]
    assert not after.findings
    assert after.decals[0].contrast.worst().ratio >= 3.0
    assert remedy.design.document.palette not in made.palettes
    assert remedy.design.palette.note
    assert write_design(remedy.design, tmp_path / "mended").exists()


def test_the_nearest_swatch_that_passes_is_offered():
    """Of five vinyls two pass; the one that looks more like the gold is taken."""
    shades = {
        f"v{i}": c for i, c in enumerate(("#8a6a2a", "#5a4010", "#4a3208", "#101010", "#eed"))
    }
    shades["v4"] = "#eeeedd"
    more = [palette(n, foil=PigmentSwatch(srgb=c, label=c)) for n, c in shades.items()]
    made = design(GOLD_ON_GOLD, more=more, **ROLES)
    cup, known, told = judged(made)

    remedy = next(r for r in remedies(cup, told, known, 0) if r.kind == "decal")

    gold = lab_from_linear_srgb(swatch_colour(compile_swatch(GOLD), 0.8))
    apart, passes = {}, {}
    for name, colour in shades.items():
        swatch = PigmentSwatch(srgb=colour, label=colour)
        lab = lab_from_linear_srgb(swatch_colour(compile_swatch(swatch), 0.8))
        apart[name] = float(delta_e_2000(gold, lab))
        swapped = design(GOLD_ON_GOLD, base=IVORY, flake=PALE_GOLD, foil=swatch)
        passes[name] = judged(swapped)[2].decals[0].contrast.worst().ratio >= 3.0
    nearest = min((n for n in shades if passes[n]), key=lambda n: apart[n])
    assert 1 < sum(passes.values()) < 5
    assert shades[nearest] in remedy.words
    assert remedy.delta_e_2000 == pytest.approx(apart[nearest], abs=1e-6)


def test_foil_is_offered_for_foil_before_vinyl():
    more = [palette("near", foil=PigmentSwatch(srgb="#1a1408")), palette("far", foil=SILVER)]
    made = design([BASE, word(), COAT], base=PigmentSwatch(srgb="#828282"), foil=GOLD, more=more)
    cup, known, told = judged(made)

    found = remedies(cup, told, known, 0)

    offered = [r for r in found if r.kind == "decal"]
    assert told.findings
    assert ["silver" in r.words for r in offered] == [True]


def test_a_backing_that_would_leave_the_wall_is_not_offered():
    low = word(place={"height_mm": 7.3})
    made = design(
        [BASE, glitter(fade(1, 50, 0.95, 0.9)), low, COAT], more=[KINDS["backing"]], **ROLES
    )
    cup, known, told = judged(made)

    assert told.findings
    assert "backing" not in {r.kind for r in remedies(cup, told, known, 0)}


def test_no_other_decal_may_lose_by_a_remedy():
    """Dark vinyl would mend the word on ivory, but a second word on navy is of the same foil."""
    dark = palette("dark", foil=INK)
    band = {"shape": "band", "from_mm": 34, "to_mm": 60, "coverage": 0.98}
    layers = [
        BASE, glitter(band), word("OAR", place={"height_mm": 15.0}, letter_height_mm=10),
        word("SEA", name="other", place={"height_mm": 48.0}, letter_height_mm=10), COAT,
    ]  # fmt: skip
    made = design(layers, base=IVORY, flake=DEEP, foil=SILVER, more=[dark])
    cup, known, told = judged(made)

    assert [f.where for f in told.findings] == ["design.toml: layers[2]"]
    assert "decal" not in {r.kind for r in remedies(cup, told, known, 0)}


def test_glitter_over_a_word_is_told():
    made = design([BASE, word(), glitter({"shape": "scatter", "coverage": 0.4}), COAT],
                  base=NAVY, flake=PALE_GOLD, foil=SILVER)  # fmt: skip

    covered = [f for f in judged(made)[2].findings if f.rule == "covered"]

    assert covered[0].measured == pytest.approx(40, abs=1)


BACKED = {"backing": [{"swatch": "ink", "outset_mm": 0.3}]}


def test_no_backing_is_advised_where_there_is_one():
    """Silver on ivory with a thin ivory backing fails still; another backing is the advice."""
    plain = design([BASE, word(), COAT], base=IVORY, foil=PigmentSwatch(srgb="#d8d8d8"))
    backed = design(
        [BASE, word(**BACKED), COAT], base=IVORY, ink=IVORY, foil=plain.palette.roles["foil"]
    )

    (told,), (anew,) = judged(plain)[2].findings, judged(backed)[2].findings

    assert told.advice.endswith(
        "Lay a backing under it, or choose another swatch for it or for what lies behind."
    )
    assert anew.advice.endswith(
        "Choose another swatch for it or for its backing, or lay a broader backing."
    )


@pytest.mark.parametrize(
    ("foil", "changes", "advice"),
    [
        (SILVER, {}, "a dark backing or matt vinyl"),
        (SILVER, BACKED, "matt vinyl"),
        (IVORY, {}, "a plain backing"),
        (IVORY, BACKED, "another colour for it or for its backing"),
    ],
)
def test_what_would_read_more_evenly_is_not_what_the_word_has(foil, changes, advice):
    layers = [BASE, word(**changes), COAT]
    made, contrast, told = read([[1.5, 9.0]], turns=2, layers=layers, foil=foil, ink=INK)

    (finding,) = check_legibility(made, contrast, told)

    assert finding.advice.endswith(f"before you promise it; {advice} reads more evenly.")


def read(contrast, lights=("window",), turns=24, *, layers=None, foil=SILVER, **more):
    """Legibility of a word with these figures, (lights, turns)."""
    made = design(layers or [BASE, word(), COAT], base=NAVY, foil=foil, **more)
    cup = build_cup(made)
    figures = np.asarray(contrast, float)[:, None, :]
    area = np.where(np.isfinite(figures[0]), 1.0, 0.0)
    shape = survey(cup).shapes[0]
    told = legibility_of(
        shape, figures, area, lights=lights, elevations_deg=(10.0,),
        turns_deg=tuple(360 / turns * k for k in range(turns)),
    )  # fmt: skip
    return made, judge(cup).decals[0].contrast, told


def test_words_tell_where_a_word_reads_and_where_it_fades():
    """As the issue of legibility is told to a customer; turns are those of `render --turn`."""
    window, kitchen = np.full(24, 9.0), np.full(24, 9.0)
    kitchen[[2, 3]] = 1.5  # 30° and 45°
    _, _, told = read([window, kitchen], ("window", "kitchen"))

    words = legibility_words(told, 3.0)

    assert words == (
        "reads from every side by the window; fades out under kitchen lamps between 22° and 52°"
    )


def test_words_join_a_run_across_the_front_and_single_turns():
    figures = np.full(24, 9.0)
    figures[[23, 0, 1, 12]] = 2.0
    _, _, told = read([figures])

    assert legibility_words(told, 3.0) == (
        "fades out by the window between \u221222° and 22° and at about 180°"
    )


def test_words_for_what_never_reads_and_for_what_shows_from_one_side():
    never, part = np.full(24, 2.25), np.full(24, np.nan)
    part[[22, 23, 0, 1, 2]] = 5.0
    _, _, low = read([never])
    _, _, front = read([part])

    assert legibility_words(low, 3.0) == (
        "reads from no side by the window, 2.2\u00a0:\u00a01 at best"
    )
    assert legibility_words(front, 3.0) == "reads from every side that shows it by the window"


@pytest.mark.parametrize(
    ("fading", "severity"), [(0, None), (2, None), (3, "note"), (12, "note"), (13, "warn")]
)
def test_a_word_that_fades_in_one_view_of_ten_is_told(fading, severity):
    figures = np.full(24, 9.0)
    figures[:fading] = 1.5
    made, contrast, told = read([figures])

    found = check_legibility(made, contrast, told)

    assert [f.severity for f in found] == ([severity] if severity else [])
    if found:
        assert found[0].measured == pytest.approx(100 * (24 - fading) / 24)


def test_a_fine_stroke_is_told_by_its_angle():
    made = design([BASE, word(letter_height_mm=5.0, font="Source Sans Pro"), COAT],
                  base=NAVY, foil=SILVER)  # fmt: skip
    cup = build_cup(made)
    shape = survey(cup).shapes[0]
    told = legibility_of(
        shape, np.full((1, 1, 1), 9.0), np.ones((1, 1)), lights=("window",),
        elevations_deg=(0.0,), turns_deg=(0.0,),
    )  # fmt: skip

    found = check_legibility(made, judge(cup).decals[0].contrast, told)

    expected = 2 * shape.outline.area / shape.outline.length / 1000 * 180 / np.pi * 60
    rules = {f.rule: f for f in found}
    assert expected < 2 or "fine stroke" not in rules
    assert told.stroke_arcmin == pytest.approx(expected)


def test_places_and_ratios_in_words():
    cup = build_cup(design([BASE, word("I"), COAT], base=NAVY, foil=SILVER))
    place = judge(cup).decals[0].contrast.worst()

    assert place_words(place._replace(turn_rad=0.21, height_mm=92.6)) == (
        "93\u00a0mm up, 12° right of the front"
    )
    assert place_words(place._replace(turn_rad=-3.14, height_mm=5)) == "5\u00a0mm up, at the back"
    assert ratio_words(2.999) == "2.9\u00a0:\u00a01"
    assert ratio_words(3.0) == "3.0\u00a0:\u00a01"


def test_weak_colour_vision_alone_is_a_note():
    """Red on black that just passes for all who see red."""
    red = MetalSwatch(metal="aluminium", tint_srgb="#ff4040", label="red foil")
    made = design([BASE, word(), COAT], base=INK, foil=red)
    _, _, told = judged(made)
    plain, any_eye = (
        told.decals[0].contrast.worst(eyes).ratio for eyes in (("normal",), ("protan",))
    )

    if plain >= 3.0 > any_eye:
        assert [f.rule for f in told.findings] == ["weak colour vision"]
        assert "without red cones (protan)" in told.findings[0].advice
    else:
        raise AssertionError(f"the colours no longer tell the two apart: {plain}, {any_eye}")


def test_check_contrast_tells_the_cure_that_it_is_given():
    made = design(GOLD_ON_GOLD, **ROLES)
    cup, _, told = judged(made)

    found = check_contrast(made, told.decals[0].contrast, cup.model.skin, "Lay ink under it")

    assert found[0].advice.endswith("Lay ink under it.")

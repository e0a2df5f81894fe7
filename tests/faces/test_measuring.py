"""The command that measures materials, on photos whose truth is known."""

import json

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import linear_srgb_weights
from mockup.design.read import read_palette
from mockup.faces.cli import cli
from mockup.material.spectrum import dry_colour, dry_reflectance
from tests.photo.scenes import CARD, GREY, PATCH, SIZE, photo_of, scene_labels, table_spectrum

SEA = 0.12 + 0.3 / (1 + np.exp((np.arange(81) - 34) / 8.0))
PLACE = ",".join(f"{100 * v / SIZE[i % 2]:.2f}%" for i, v in enumerate((268, 78, 332, 142)))
CORNERS = ",".join(f"{100 * v / SIZE[i % 2]:.3f}%" for i, v in enumerate(CARD.ravel()))


def run(*words):
    return CliRunner().invoke(cli, [str(word) for word in words], prog_name="tumbler-mockup")


@pytest.fixture
def jar(tmp_path):
    """A photo of sea-glass paint beside a card."""
    spectra = np.stack([table_spectrum(), np.full(81, GREY), SEA])
    path = tmp_path / "jar.jpg"
    path.write_bytes(photo_of(scene_labels(), spectra, "D65", np.random.default_rng(1)))
    return path


def _error(swatch):
    colours = [dry_colour(dry_reflectance(swatch)), SEA @ linear_srgb_weights("D65")]
    return float(delta_e_2000(*(lab_from_linear_srgb(rgb) for rgb in colours)))


def test_paint_goes_from_a_photo_into_a_palette(jar, tmp_path):
    result = run("measure", jar, "--as", "paint", "--light", "D65", "-o", tmp_path / "sea.toml")

    assert result.exit_code == 0, result.stderr
    assert "ΔE00 within" in result.stdout
    assert f"Wrote {tmp_path / 'sea.toml'}" in result.stdout
    palette = read_palette(tmp_path / "sea.toml")
    assert _error(palette.roles["paint"]) < 2.0


def test_places_may_be_told_in_per_cent(jar):
    by_itself = run("measure", jar, "--as", "vinyl", "--light", "D65", "--json")
    told = run(
        "measure", jar, "--as", "vinyl", "--light", "D65", "--json",
        "--corners", CORNERS, "--place", PLACE,
    )  # fmt: skip

    assert (by_itself.exit_code, told.exit_code) == (0, 0), told.stderr
    first, second = (
        np.array(json.loads(one.stdout)["swatches"][0]["swatch"]["reflectance"])
        for one in (by_itself, told)
    )
    np.testing.assert_allclose(first, second, atol=0.02)


def test_json_tells_how_sure_it_is(jar):
    found = json.loads(run("measure", jar, "--as", "print", "--json").stdout)

    assert found["kind"] == "print"
    assert found["swatches"][0]["delta_e_2000_90"] > 0
    assert len(found["swatches"][0]["reflectance_90"]) == 3
    assert any("light was not told" in word for word in found["words"])


def test_a_photo_turned_by_its_camera_is_measured_upright_and_told(jar, tmp_path):
    """Stored on its side with the camera's note: the places are those of the upright picture."""
    exif = Image.Exif()
    exif[0x0112] = 6
    side = Image.open(jar).transpose(Image.Transpose.ROTATE_90)
    side.save(tmp_path / "side.jpg", exif=exif, quality=95)

    result = run(
        "measure", tmp_path / "side.jpg", "--as", "paint", "--light", "D65", "--place", PLACE
    )

    assert result.exit_code == 0, result.stderr
    assert "turned by 90° to the right, as the camera noted" in result.stderr


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--as", "glitter"], "where the glitter lies"),
        (["--as", "foil"], "Give two: mirroring the card"),
        (["--as", "paint", "--place", "5,6,7"], "is not 4 numbers"),
        (["--as", "paint", "--place", "50%,50%,40%,60%"], "has no area"),
        (["--as", "paint", "--place", "1,1,9,9", "--place", "1,1,9,9"], "given 2 times"),
        (["--as", "paint", "--light", "moonlight"], "no illuminant is named"),
        (["--as", "paint", "--corners", "1,2,3"], "is not 8 numbers"),
    ],
)
def test_what_is_told_amiss_is_said_and_nothing_is_written(jar, tmp_path, words, told):
    output = tmp_path / "none.toml"

    result = run("measure", jar, *words, "-o", output)

    assert result.exit_code == 1
    assert told in result.stderr
    assert not output.exists()


def test_a_photo_without_a_card_stores_nothing(tmp_path):
    Image.effect_noise((400, 300), 60).convert("RGB").save(tmp_path / "noise.jpg")

    result = run("measure", tmp_path / "noise.jpg", "--as", "paint", "-o", tmp_path / "none.toml")

    assert result.exit_code == 1
    assert "no card found" in result.stderr
    assert not (tmp_path / "none.toml").exists()


def test_the_patch_of_the_scene_is_where_the_tests_think():
    assert PATCH == (260, 70, 340, 150)

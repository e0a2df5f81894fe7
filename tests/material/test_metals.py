from importlib import resources

import numpy as np
import pytest

from mockup.design.palette import METALS
from mockup.errors import UnknownName
from mockup.material.fresnel import fresnel_conductor
from mockup.material.metals import METAL_NAMES, read_metal
from tests.published_tables import rows

# Photon energies of Johnson & Christy (1972, 1974), eV, those from 1.39 to 4.12.
JOHNSON_CHRISTY_EV = (
    4.12, 3.99, 3.87, 3.74, 3.62, 3.50, 3.37, 3.25, 3.12, 3.00, 2.88, 2.75, 2.63, 2.50, 2.38, 2.26,
    2.13, 2.01, 1.88, 1.76, 1.64, 1.51, 1.39,
)  # fmt: skip
HC_EV_NM = 1239.8420  # CODATA 2018, h c / e


def test_every_metal_of_a_swatch_has_its_table():
    assert set(METALS) < set(METAL_NAMES)


@pytest.mark.parametrize("name", METAL_NAMES)
def test_a_table_covers_the_visible_in_twenty_steps_or_more(name):
    metal = read_metal(name)

    assert np.all(np.diff(metal.wavelengths_nm) > 0)
    assert metal.wavelengths_nm[0] <= 380
    assert metal.wavelengths_nm[-1] >= 780
    assert metal.wavelengths_nm.size >= 20
    assert min(metal.n.min(), metal.k.min()) > 0


@pytest.mark.parametrize("name", METAL_NAMES)
def test_a_table_says_where_it_comes_from(name):
    text = resources.files("mockup.material").joinpath("metals", f"{name}.csv").read_text("utf-8")
    header = dict(line[2:].split(": ", 1) for line in text.splitlines() if line.startswith("# "))

    assert {"source", "DOI", "year", "units", "typed"} <= set(header)
    assert header["DOI"].startswith("10.")


@pytest.mark.parametrize("name", ["copper", "gold", "silver", "iron"])
def test_wavelengths_are_those_of_the_authors_energies(name):
    digits = 0 if name == "iron" else 1
    expected = [round(HC_EV_NM / ev, digits) for ev in JOHNSON_CHRISTY_EV]

    np.testing.assert_allclose(read_metal(name).wavelengths_nm, expected, atol=0.51 * 10**-digits)


@pytest.mark.parametrize(
    "row",
    rows("metal_indices_second_source"),
    ids=lambda row: f"{row['metal']} {row['wavelength_nm']}",
)
def test_a_second_publication_finds_nearly_the_same_reflectance(row):
    """Films of the two authors differ; by up to 0.06 for copper and gold near their edges."""
    ours = read_metal(row["metal"]).index_at(float(row["wavelength_nm"]))
    expected = fresnel_conductor(1.0, float(row["n"]), float(row["k"]))
    tolerance = 0.06 if row["metal"] in ("copper", "gold") else 0.005

    assert fresnel_conductor(1.0, ours.real, ours.imag) == pytest.approx(expected, abs=tolerance)


def test_published_points_come_back_as_printed():
    """Johnson & Christy (1972), Table I, 2.26 eV: copper 1.02 + 2.577i, gold 0.43 + 2.455i."""
    assert read_metal("copper").index_at(548.6) == pytest.approx(1.02 + 2.577j)
    assert read_metal("gold").index_at(548.6) == pytest.approx(0.43 + 2.455j)


def test_a_metal_without_table_gets_a_near_name():
    with pytest.raises(UnknownName, match="'aluminium'"):
        read_metal("aluminum")

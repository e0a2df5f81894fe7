import subprocess
import sys

import numpy as np
import pytest

from mockup.blank.library import blank_names, find_blank
from mockup.errors import UnknownName

# Usual outside measures of the wall in the trade: capacity mL, diameter foot and rim, height, mm.
USUAL = {
    "slim straight 15 fl oz": (440, (72, 74), (72, 74), (150, 165)),
    "slim straight 20 fl oz": (590, (72, 74), (72, 74), (195, 210)),
    "wide straight 30 fl oz": (890, (86, 90), (86, 90), (185, 200)),
    "tapered 20 fl oz": (590, (68, 72), (86, 89), (150, 165)),
    "tapered 30 fl oz": (890, (70, 75), (98, 102), (180, 195)),
    "stemless curved 12 fl oz": (355, (55, 70), (65, 80), (105, 115)),
    "can-shaped 12 fl oz": (355, (70, 76), (70, 76), (120, 150)),
}


def test_the_library_is_the_table():
    assert set(blank_names()) == set(USUAL)


@pytest.mark.parametrize("name", USUAL)
def test_sizes_are_usual_and_say_that_they_are_typical(name):
    capacity, foot, rim, height = USUAL[name]

    blank = find_blank(name)

    assert blank.name == name
    assert blank.capacity_ml == capacity
    assert foot[0] <= 2 * blank.wall.radius_mm[0] <= foot[1]
    assert rim[0] <= 2 * blank.wall.radius_mm[-1] <= rim[1]
    assert height[0] <= blank.wall.height_mm <= height[1]
    assert blank.note == "typical, measure yours"
    assert not blank.lid
    assert find_blank(name, lid=True).lid


@pytest.mark.parametrize("name", USUAL)
def test_a_cup_holds_about_what_its_name_says(name):
    """The space within two steel walls and the air between lies in reach of the capacity."""
    blank = find_blank(name)
    height = np.linspace(0.0, blank.wall.length_mm, 2001)
    outside_ml = np.trapezoid(np.pi * blank.wall.radius_at(height) ** 2, blank.wall.z_at(height))

    assert 1.05 < outside_ml / 1000 / blank.capacity_ml < 1.6


def test_an_unknown_name_is_refused_with_a_near_one():
    with pytest.raises(UnknownName, match=r"blank\.name: no blank is named 'tapred 20 fl oz'"):
        find_blank("tapred 20 fl oz")


def test_the_geometry_of_a_cup_needs_no_graphics():
    """Nor a straight cup what SciPy has for curves: both would delay every command and server."""
    code = (
        "import sys\n"
        "from mockup.blank.library import find_blank\n"
        "from mockup.blank.mesh import build_mesh\n"
        "build_mesh(find_blank('tapered 20 fl oz'))\n"
        "heavy = {'pyvista', 'vtk', 'vtkmodules', 'scipy.interpolate', 'scipy.optimize'}\n"
        "sys.exit(bool(heavy & set(sys.modules)))"
    )

    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0

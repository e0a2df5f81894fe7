"""The template on paper: printed, scanned and rolled up, it closes round the cup."""

import io
import subprocess

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from mockup.blank.mesh import build_mesh
from mockup.outputs.cut.make import PDF_NAME, cut_files
from tests.outputs.cut.cups import SHELF, STRAIGHT, TAPERED, built, design_of, wrap

DPI = 600
MM = 25.4 / DPI


@pytest.fixture(scope="module", params=[STRAIGHT, TAPERED], ids=["straight", "tapered"])
def scanned(request, tmp_path_factory):
    """(blank, the template's page as dark pixels), from the PDF at 600 dots per inch."""
    blank = request.param
    sheet = wrap(fit="tile", width_mm=40.0, overlap_mm=4.0)
    made = cut_files(design_of(sheet, blank=blank), built(blank), SHELF, paper="whole")
    path = tmp_path_factory.mktemp("template") / PDF_NAME
    path.write_bytes(made.files[PDF_NAME])
    scan = subprocess.run(
        ["pdftoppm", "-r", str(DPI), "-gray", "-f", "2", "-l", "2", str(path)],
        check=True,
        capture_output=True,
    ).stdout
    Image.MAX_IMAGE_PIXELS = None
    return built(blank), np.asarray(Image.open(io.BytesIO(scan))) < 128


def middles(row):
    """Middles of the dark runs of a row, px."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
    return (edges[::2] + edges[1::2] - 1) / 2


def uprights(dark, first_mm, last_mm):
    """Points (n, 2) mm of the left cut edge and of the dashed seam line; x right, y down."""
    left, seam = [], []
    for y in range(int(first_mm / MM), int(last_mm / MM), 7):
        runs = middles(dark[y]) * MM
        if len(runs) < 3:
            continue
        left.append((runs[0], y * MM))
        before_end = runs[-1] - runs
        near = runs[(before_end > 3.0) & (before_end < 5.0)]  # the overlap is 4 mm
        if len(near) == 1:
            seam.append((near[0], y * MM))
    return np.array(left), np.array(seam)


def line_through(points):
    """(a, b): x = a + b y, by least squares, what lies off (letters beside the line) left out."""
    for _ in range(3):
        b, a = np.polyfit(points[:, 1], points[:, 0], 1)
        off = np.abs(points[:, 0] - a - b * points[:, 1])
        points = points[off <= max(3 * np.median(off), 0.03)]
    return a, b, points


def test_rolled_round_the_cups_mesh_it_closes_at_the_seam(scanned):
    """Seam line and beginning meet within 0.2 mm, the cup's radii and taper from its mesh.

    All that is known of the flat is read off the scan: both lines, and where they would meet.
    """
    blank, dark = scanned
    mesh = build_mesh(blank, columns=144)
    height, radius = mesh.turn_height[:, 1], np.hypot(*mesh.positions[:, :2].T)
    wall = (height > 1) & (height < blank.wall.length_mm - 1)
    taper, foot_radius = np.polyfit(height[wall], radius[wall], 1)
    tall = blank.wall.length_mm

    left, seam = uprights(dark, 9 + 4 + 16, 9 + 4 + tall - 16)
    (a0, b0, left), (a1, b1, seam) = line_through(left), line_through(seam)

    assert len(left) > 300
    assert len(seam) > 100
    if abs(taper) < 1e-6:
        width = (a1 + b1 * seam[:, 1]) - (a0 + b0 * seam[:, 1])
        gap = width - 2 * np.pi * foot_radius
    else:
        apex_y = (a1 - a0) / (b0 - b1)
        apex = np.array([a0 + b0 * apex_y, apex_y])
        angle = abs(np.arctan(b1) - np.arctan(b0))
        from_apex = np.hypot(*(seam - apex).T)
        gap = from_apex * taper * (angle / taper - 2 * np.pi)
    assert np.abs(gap).max() < 0.2


def test_its_trims_are_the_walls_height_apart(scanned):
    """On the front line, where foot and rim are level: 2 mm of trim beyond each, within 0.1 mm."""
    blank, dark = scanned
    tall = blank.wall.length_mm
    x = front_column(dark, tall)
    rows = []
    for beside in range(-60, 61, 6):  # dashes: some column meets each line
        runs = middles(dark[: int((9 + 4 + tall + 9) / MM), x + 40 + beside * 2]) * MM
        rows.extend(runs)
    rows = np.sort(rows)
    top, foot = rows[0], rows[-1]
    inner = rows[(rows > top + 1.0) & (rows < foot - 1.0)]
    trims = inner[(np.abs(inner - top - 2) < 0.3) | (np.abs(inner - foot + 2) < 0.3)]
    rim, base = trims[trims < (top + foot) / 2].mean(), trims[trims > (top + foot) / 2].mean()

    assert base - rim == pytest.approx(tall, abs=0.1)
    assert foot - top == pytest.approx(tall + 4.0, abs=0.1)


def front_column(dark, tall):
    """The column, px, of the front line: the darkest one inside the template."""
    band = dark[int(40 / MM) : int((tall - 20) / MM)]
    share = band.mean(axis=0)
    share[: int(40 / MM)] = share[-int(40 / MM) :] = 0
    return int(share.argmax())


def test_a_scan_of_the_squares_measures_what_they_say(scanned):
    """50 mm and 2 in, from the page's pixels, within 0.1 mm."""
    _, dark = scanned
    corner = dark[-int((9 + 56) / MM) :, int(8 / MM) : int((9 + 54) / MM)]
    columns = np.flatnonzero(corner.mean(axis=0) > 0.25)  # dotted: a third is dark
    groups = np.split(columns, np.flatnonzero(np.diff(columns) > 2) + 1)
    at = [group.mean() * MM for group in groups]

    assert at[-1] - at[0] == pytest.approx(50.8, abs=0.1)
    assert at[-2] - at[0] == pytest.approx(50.0, abs=0.1)


def test_every_page_says_that_it_is_not_approved_and_which_revision_it_is():
    design = design_of(wrap(fit="tile", width_mm=40.0), blank=TAPERED)
    made = cut_files(design, built(TAPERED), SHELF)
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(made.files[PDF_NAME])).pages]

    assert len(pages) >= 4  # overview, two tiles of the template, strip
    short = f"{design.fingerprint[:4]} {design.fingerprint[4:8]}".upper()
    for text in pages:
        assert "NOT APPROVED" in text
        assert short in text
        assert "Seaglass Eight" in text
        assert "Blades: cut away from yourself" in text.replace("\n", " ")
        assert "inner square: 50 mm" in text
        assert "outer square: 2 in" in text

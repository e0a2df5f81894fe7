"""A small skin and the facts of a small proof."""

import numpy as np
import pytest

from mockup.blank.grid import WallGrid
from mockup.blank.wall import Wall
from mockup.material.channels import MAPS
from mockup.outputs.facts import Elevation, LightFact, ProofFacts, Size, SwatchFact, View
from mockup.outputs.flat_picture import FlatColours, draw_flat
from mockup.skin.skin import FIELD_STEP, Clear, Flakes, Sheet, Skin

STRAIGHT = Wall("cylinder", (0.0, 185.0), (36.5, 36.5))
CHIPS = {"base": (13, 35, 72), "foil": (216, 140, 104), "flake": (255, 255, 255)}


@pytest.fixture
def make_skin():
    """A skin on `wall` from functions of (height mm, turn rad) for a sheet and for flakes."""

    def make(wall, *, edge_mm=None, coverage=None, clear=None, sheet_order=2, flake_order=1):
        grid = WallGrid.over(wall.length_mm, wall.radius_max_mm, 0.5)
        height, turn = grid.heights_mm()[:, None], grid.turns_rad()[None, :]
        edges = np.zeros((*grid.shape, 0), np.uint8)
        fields = np.zeros((grid.rows // FIELD_STEP, grid.columns // FIELD_STEP, 0), np.uint8)
        if edge_mm is not None:
            distance = np.broadcast_to(edge_mm(height, turn), grid.shape)
            edges = MAPS["edge_distance"].encode(distance)[..., None]
        if coverage is not None:
            fields = np.full((*fields.shape[:2], 1), MAPS["flake_coverage"].encode(coverage))
        return Skin(
            grid=grid,
            art_rgba8_srgb=np.zeros((*grid.shape, 4), np.uint8),
            relief=None,
            edge_distance=edges,
            flake_coverage=fields,
            sheets=() if edge_mm is None else (Sheet("band", "foil", sheet_order, 0.8),),
            flakes=()
            if coverage is None
            else (Flakes("veil", 0.4, (("flake", 1.0),), 7.0, 1, flake_order, 1.0),),
            base_role="base",
            base_depth_mm=1.2,
            clear=clear or Clear(1.2, "gloss"),
        )

    return make


def shades(rows, columns):
    """A picture that is no even grey: (rows, columns, 3) uint8."""
    codes = np.linspace(40, 200, rows, dtype=np.uint8)[:, None, None]
    return np.broadcast_to(codes, (rows, columns, 3)).copy()


@pytest.fixture
def make_facts(make_skin):
    """Facts of a proof for a cup with this wall."""

    def make(wall=STRAIGHT, **changes):
        flat = draw_flat(make_skin(wall), wall, FlatColours(CHIPS), px_per_mm=1.0)
        picture = shades(80, 60)
        facts = {
            "title": "Seaglass Eight, seat 7",
            "note": "One cup a seat.",
            "palette": "deep-water",
            "fingerprint": "3f9a0c5e7b21d4668e0f1a2b3c4d5e6f708192a3b4c5d6e7f8091a2b3c4d5e6f",
            "light": LightFact("softbox", "Studio light."),
            "hero": View("Front", picture),
            "sides": tuple(View(n, picture) for n in ("Front", "Right", "Back", "Left")),
            "close_up": View("The lettering, close up", picture),
            "elevation": Elevation(shades(398, 152), 76.0, 199.0, 73.0),
            "flat": flat,
            "swatches": (
                SwatchFact(
                    "base", "deep-water navy", "Paint", "paint", "chosen on screen", (13, 35, 72)
                ),
                SwatchFact(
                    "lettering", "copper foil", "Foil, bright", "copper", "n and k", (216, 140, 104)
                ),
            ),
            "sizes": (Size("Diameter", 73.0), Size("Wall height", 185.0), Size("Oars", 42.0)),
            "differences": ("Screens and printers differ.",),
        }
        return ProofFacts(**(facts | changes))

    return make

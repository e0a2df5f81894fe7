"""Pieces on sheets: all of them, none on another, none over the edge."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.errors import GeometryError
from mockup.outputs.cut.nest import EDGE_MM, GAP_MM, ROLL, SheetSize, pack, pack_within

SHEET = SheetSize(305.0, 305.0)
sides = st.floats(8.0, 290.0)


def rectangle(laid, sizes):
    width, height = sizes[laid.index]
    if laid.turned:
        width, height = height, width
    return shapely.box(laid.x_mm, laid.y_mm, laid.x_mm + width, laid.y_mm + height)


@given(st.lists(st.tuples(sides, sides), min_size=1, max_size=14))
@settings(max_examples=40, deadline=None)
def test_every_piece_is_laid_once_apart_from_the_others_and_inside(sizes):
    sheets = pack(sizes, SHEET)

    assert sorted(laid.index for sheet in sheets for laid in sheet.laid) == list(range(len(sizes)))
    for sheet in sheets:
        room = shapely.box(
            EDGE_MM, EDGE_MM, sheet.width_mm - EDGE_MM, sheet.length_mm - EDGE_MM
        ).buffer(1e-6, join_style="mitre")
        boxes = [rectangle(laid, sizes) for laid in sheet.laid]
        for i, box in enumerate(boxes):
            assert room.covers(box)
            for other in boxes[:i]:
                assert box.distance(other) >= GAP_MM - 1e-6
            assert box.bounds[3] <= sheet.used_mm - EDGE_MM + 1e-6


def test_small_pieces_share_one_sheet():
    (sheet,) = pack([(90.0, 60.0)] * 12, SHEET)  # 3 × 4 of them: 274 × 246 mm

    assert (sheet.width_mm, sheet.length_mm) == (305.0, 305.0)


def test_what_is_larger_than_a_sheet_goes_on_a_roll_no_longer_than_it_needs():
    small, large = pack([(100.0, 50.0), (420.0, 330.0)], SHEET)

    assert small.size == SHEET
    assert large.size == ROLL
    assert large.length_mm == pytest.approx(330.0 + 2 * EDGE_MM, abs=20.0)


def test_what_is_larger_than_a_roll_gets_a_sheet_of_its_own_size():
    (sheet,) = pack([(700.0, 650.0)], SHEET)

    assert (sheet.width_mm, sheet.length_mm) == pytest.approx((710.0, 660.0), abs=0.2)


def test_sizes_are_read_as_the_maker_writes_them():
    assert SheetSize.read("305x610") == SheetSize(305.0, 610.0)
    assert SheetSize.read(" 304.8 × 304.8 ") == SheetSize(304.8, 304.8)
    assert SheetSize.read("610") == ROLL


@pytest.mark.parametrize("text", ["", "a4", "12x12", "305x", "-305x305", "305x305x305", "9999"])
def test_a_size_that_is_none_is_told(text):
    with pytest.raises(GeometryError, match=r"is no size of sheet\. Give width and length in mm"):
        SheetSize.read(text)


def test_what_one_page_holds_stays_on_one_page():
    """Five frames that would lie side by side on a sheet fit an upright page of 192 × 223 mm."""
    frames = [(190.0, 30.0), (90.0, 50.0), (90.0, 50.0), (60.0, 40.0), (60.0, 40.0)]

    (sheet,) = pack_within(frames, SHEET, [(192.0 + 2 * EDGE_MM, 223.0), (279.0, 136.0)])

    assert (sheet.width_mm, sheet.length_mm, sheet.size) == (305.0, 305.0, SHEET)
    lengths = [rectangle(laid, frames).bounds for laid in sheet.laid]
    right, foot = max(b[2] for b in lengths), max(b[3] for b in lengths)
    assert (right <= 202.0 and foot <= 223.0) or (right <= 279.0 and foot <= 136.0)


def test_what_no_page_holds_is_packed_on_the_sheet():
    frames = [(250.0, 250.0)]

    assert pack_within(frames, SHEET, [(192.0, 223.0)]) == pack(frames, SHEET)

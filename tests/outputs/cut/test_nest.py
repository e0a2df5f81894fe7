"""Pieces on sheets: all of them, none on another, none over the edge."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.errors import GeometryError
from mockup.outputs.cut.nest import EDGE_MM, GAP_MM, SheetSize, fits, pack
from mockup.outputs.cut.pages import DESK_ROOMS, rooms
from mockup.outputs.sheet import PAPER_MM

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
            EDGE_MM, EDGE_MM, sheet.size.width_mm - EDGE_MM, sheet.size.length_mm - EDGE_MM
        ).buffer(1e-6, join_style="mitre")
        boxes = [rectangle(laid, sizes) for laid in sheet.laid]
        for i, box in enumerate(boxes):
            assert room.covers(box)
            for other in boxes[:i]:
                assert box.distance(other) >= GAP_MM - 1e-6
        right, foot = np.max([box.bounds[2:] for box in boxes], axis=0)
        assert (right, foot) == pytest.approx(
            (sheet.used_width_mm - EDGE_MM, sheet.used_mm - EDGE_MM)
        )
        assert sheet.area_mm2 >= sum(box.area for box in boxes)


def test_small_pieces_share_one_sheet():
    """3 × 4 of them with gaps and edges: 284 × 256 mm of it."""
    (sheet,) = pack([(90.0, 60.0)] * 12, SHEET)

    assert sheet.size == SHEET
    assert sheet.area_mm2 <= 284.0 * 256.0 + 1


def test_no_more_is_used_than_by_laying_in_a_row_by_hand():
    """Five frames of 50 × 30 mm lying in a row with gaps and edges: 268 × 40 mm."""
    (sheet,) = pack([(50.0, 30.0)] * 5, SHEET)

    assert 5 * 50.0 * 30.0 < sheet.area_mm2 <= 268.0 * 40.0


def test_what_is_larger_than_a_sheet_gets_one_of_its_own_size():
    small, large = pack([(100.0, 50.0), (700.0, 650.0)], SHEET)

    assert (small.size, small.oversize, large.oversize) == (SHEET, False, True)
    assert [laid.index for laid in large.laid] == [1]
    assert (large.size.width_mm, large.size.length_mm) == (710.0, 660.0)


def test_a_roll_is_used_no_longer_than_needed():
    (sheet,) = pack([(420.0, 330.0), (150.0, 330.0)], SheetSize(610.0))

    assert sheet.used_mm == pytest.approx(330.0 + 2 * EDGE_MM, abs=0.2)


def test_what_must_not_be_turned_is_not_turned():
    tall = (100.0, 250.0)
    sheet_of_fabric = SheetSize(300.0, 200.0)

    assert fits(tall, sheet_of_fabric)
    assert not fits(tall, sheet_of_fabric, turning=False)
    (turned,), (alone,) = (pack([tall], sheet_of_fabric, turning=way) for way in (True, False))
    assert (turned.laid[0].turned, turned.oversize) == (True, False)
    assert (alone.laid[0].turned, alone.oversize) == (False, True)


def test_sizes_are_read_as_the_maker_writes_them():
    assert SheetSize.read("305x610") == SheetSize(305.0, 610.0)
    assert SheetSize.read(" 304.8 × 304.8 ") == SheetSize(304.8, 304.8)
    assert SheetSize.read("610") == SheetSize(610.0, None)


@pytest.mark.parametrize("text", ["", "a4", "12x12", "305x", "-305x305", "305x305x305", "9999"])
def test_a_size_that_is_none_is_told(text):
    with pytest.raises(GeometryError, match=r"is no size of sheet\. Give width and length in mm"):
        SheetSize.read(text)


def test_what_a_desk_page_holds_stays_on_one_page():
    """Five frames that lie side by side on a sheet fit a page of A4 or letter, one way round."""
    frames = [(190.0, 30.0), (90.0, 50.0), (90.0, 50.0), (60.0, 40.0), (60.0, 40.0)]

    (sheet,) = pack(frames, SHEET, rooms_mm=DESK_ROOMS)

    assert sheet.size == SHEET
    assert sheet.within(DESK_ROOMS)
    for paper in PAPER_MM:
        assert sheet.within(rooms(paper))


def test_what_no_page_holds_is_packed_on_the_sheet():
    frames = [(250.0, 250.0)]

    assert pack(frames, SHEET, rooms_mm=DESK_ROOMS) == pack(frames, SHEET)

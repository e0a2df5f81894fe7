import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from mockup.blank.grid import WallGrid

grids = st.builds(WallGrid.over, st.floats(20, 400), st.floats(10, 100), st.floats(0.1, 2.0))


@given(grids)
def test_the_grid_covers_the_wall_once(grid):
    turn, height = grid.turns_rad(), grid.heights_mm()
    step = 2 * np.pi / grid.columns

    assert grid.shape == (len(height), len(turn))
    assert height[0] > 0
    np.testing.assert_allclose(height[0] + height[-1], grid.length_mm)
    np.testing.assert_allclose(turn[0] + 2 * np.pi, turn[-1] + step)


@given(st.floats(20, 400), st.floats(10, 100), st.floats(0.1, 2.0))
def test_no_texel_is_larger_than_asked(length, radius, texel):
    grid = WallGrid.over(length, radius, texel)

    assert grid.row_mm <= texel * (1 + 1e-12)
    assert 2 * np.pi * radius / grid.columns <= texel * (1 + 1e-12)
    assert grid.rows % 4 == 0
    assert grid.columns % 4 == 0

import numpy as np
import pytest
from PIL import Image

from tests import golden


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(golden, "GOLDEN", tmp_path)
    return tmp_path


def _navy(rows=20, columns=30):
    return np.full((rows, columns, 3), (11, 37, 69), dtype=np.uint8)


def test_the_accepted_picture_passes_and_leaves_nothing_behind(folder):
    Image.fromarray(_navy()).save(folder / "cup.png")
    (folder / "cup.new.png").write_bytes(b"of an earlier failure")

    golden.assert_looks_like("cup", _navy())

    assert [path.name for path in folder.iterdir()] == ["cup.png"]


def test_a_missing_golden_fails_and_says_how_to_accept(folder):
    with pytest.raises(AssertionError, match=r"no accepted picture.*rename it to cup\.png"):
        golden.assert_looks_like("cup", _navy())

    np.testing.assert_array_equal(np.asarray(Image.open(folder / "cup.new.png")), _navy())


def test_a_few_stray_pixels_pass_and_more_fail(folder):
    """600 pixels at a share of 0.002: one may stray, two may not."""
    Image.fromarray(_navy()).save(folder / "cup.png")
    changed = _navy()
    changed[0, 0] = 255

    golden.assert_looks_like("cup", changed)
    changed[0, 1] = 255
    with pytest.raises(AssertionError, match=r"0\.33% of cup moved by more than ΔE 3\.0"):
        golden.assert_looks_like("cup", changed)


def test_a_change_too_small_to_see_passes(folder):
    Image.fromarray(_navy()).save(folder / "cup.png")

    golden.assert_looks_like("cup", _navy() + np.uint8(1))


def test_another_size_fails(folder):
    Image.fromarray(_navy()).save(folder / "cup.png")

    with pytest.raises(AssertionError, match=r"is \(20, 30\), the picture is \(21, 30\)"):
        golden.assert_looks_like("cup", _navy(rows=21))


@pytest.mark.parametrize(
    "picture", [_navy().astype(float), _navy()[..., 0], _navy()[..., :2], _navy(rows=401)]
)
def test_what_is_no_small_srgb_picture_is_refused(folder, picture):
    with pytest.raises(AssertionError):
        golden.assert_looks_like("cup", picture)

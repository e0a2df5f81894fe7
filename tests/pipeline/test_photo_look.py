"""A material's look from photos: what was measured, where, and what is told of faults."""

import io

import numpy as np
import pytest
from PIL import Image

from mockup.colorimetry.difference import delta_e_2000, lab_from_linear_srgb
from mockup.colorimetry.spectra import linear_srgb_weights
from mockup.colorimetry.srgb import linear_from_hex
from mockup.design.material import fresh_product
from mockup.errors import AssetError, PhotoError
from mockup.material.spectrum import dry_colour, dry_reflectance
from mockup.photo.measure import Setting
from mockup.pipeline.photo_look import (
    PHOTOS,
    GivenPhoto,
    find_look,
    how_near,
    kind_of,
    preview,
    take_look,
)
from mockup.store import open_store
from tests.photo.scenes import CARD, GREY, PATCH, SEA, SIZE, sea_photo
from tests.photo.strewn import BARE, DENSE, STREWN, dense_photos
from tests.photo.strewn import CARD as GLITTER_CARD
from tests.photo.strewn import CARD_MM as GLITTER_CARD_MM
from tests.photo.test_foil import CLOTH, PLACE, _photos

DAYLIGHT = Setting(light="D65")


def numbers(values):
    return ",".join(f"{v:g}" for v in np.ravel(values))


@pytest.fixture(scope="module")
def sea():
    """A photo of sea-glass paint beside a card."""
    return sea_photo()


@pytest.fixture(scope="module")
def found(sea):
    return find_look([GivenPhoto("IMG 1.jpg", sea)], "paint", DAYLIGHT)


@pytest.fixture(scope="module")
def glitter():
    """Strewn on white, and on black."""
    return [
        GivenPhoto(
            "image.jpg",
            data,
            place=numbers(STREWN),
            bare=numbers(BARE),
            corners=numbers(np.maximum(GLITTER_CARD, 0)),
        )
        for data in dense_photos()
    ]


def picture(data):
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB")).astype(int)


def test_a_paint_is_measured_and_its_name_goes_with_it(found):
    (one,) = found.measured.swatches
    colours = [dry_colour(dry_reflectance(one.swatch)), SEA @ linear_srgb_weights("D65")]

    assert float(delta_e_2000(*(lab_from_linear_srgb(rgb) for rgb in colours))) <= one.delta_e
    assert "IMG-1.jpg" in one.swatch.source
    assert len(found.chips) == 1


def test_the_picture_shows_the_photo_with_card_and_patch_outlined(found, sea):
    """Pale lines on dark ones run where the truth has its edges; elsewhere it is the photo."""
    (data,) = found.pictures
    drawn, photo = picture(data), picture(sea)
    changed = (np.abs(drawn - photo) > 60).any(axis=-1)

    assert drawn.shape[:2] == SIZE[::-1]
    for x, y in (CARD[2:] + CARD[1:3]) / 2:  # middles of the right and the lower side
        assert changed[int(y) - 4 : int(y) + 5, int(x) - 4 : int(x) + 5].any()
    left, top, right, bottom = PATCH
    assert changed[top:bottom, left:right].any()
    assert not changed[top + 20 : bottom - 20, left + 20 : right - 20].any()
    assert not changed[200:].any()


def test_a_place_that_is_told_is_the_one_that_is_drawn(sea):
    told = GivenPhoto("a.jpg", sea, place="70%,30%,80%,45%")
    (data,) = find_look([told], "vinyl", DAYLIGHT).pictures
    changed = (np.abs(picture(data) - picture(sea)) > 60).any(axis=-1)

    assert changed[90:135, 277:283].any(axis=1).all()
    assert changed[90:135, 317:323].any(axis=1).all()


def test_limits_say_nothing_twice(sea, found):
    untold = find_look([GivenPhoto("a.jpg", sea)], "paint", Setting())

    assert not any("ΔE00" in word for word in found.measured.words)
    assert any("light was not told" in word for word in untold.measured.words)


def test_a_look_is_taken_with_its_photo_and_the_earlier_one_is_kept(found, sea, tmp_path):
    with open_store(tmp_path / "store.sqlite") as store:
        can = store.materials.enter(fresh_product("paint", "sea glass", {}, source=""))
        first = take_look(store, can, found)
        again = take_look(store, first, found)

        assert again.look.swatch.label == "sea glass"
        assert again.look.measured == found.measured.as_dict()
        assert store.materials.photos_of(again.look) == {"IMG-1.jpg": sea}
        assert len(store.materials.looks(can)) == 2


def test_glitter_from_two_photos_of_one_name(glitter):
    told = []

    look = find_look(
        glitter,
        "glitter",
        Setting(light="D65", card_mm=GLITTER_CARD_MM),
        lambda share, what: told.append((share, what)),
    )

    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert max(np.diff([0.0, *shares, 1.0])) < 0.2
    assert len({what for _, what in told}) >= 6
    assert look.measured.figures["cut_mm"].value == pytest.approx(DENSE.cut_mm, rel=0.1)
    assert sum(one.share for one in look.measured.swatches) == pytest.approx(1.0)
    assert len(look.pictures) == 2
    assert list(look.photos) == ["1-image.jpg", "2-image.jpg"]


@pytest.mark.parametrize("asked_at", ["finding the card", "measuring how large they are"])
def test_measuring_ends_at_the_next_step_when_it_is_to_stop(glitter, asked_at):
    class Stop(Exception):  # noqa: N818  it is no fault
        pass

    told = []

    def tell(share, what):
        if asked_at in told:
            raise Stop
        told.append(what)

    with pytest.raises(Stop):
        find_look(glitter, "glitter", Setting(light="D65", card_mm=GLITTER_CARD_MM), tell)

    assert told[-1] == asked_at


def test_foil_from_two_photos_has_the_tint_that_was_photographed(tmp_path):
    """Within what is stated of it, and the places outlined in both."""
    _photos(tmp_path, "#d9a05c", 0.3, "D65", np.random.default_rng(3))
    place = numbers((PLACE.left, PLACE.top, PLACE.right, PLACE.bottom))
    given = [
        GivenPhoto(path.name, path.read_bytes(), place=place, corners=numbers(CARD / 2))
        for path in (tmp_path / f"{GREY}.jpg", tmp_path / f"{CLOTH}.jpg")
    ]

    look = find_look(given, "foil", DAYLIGHT)

    (one,) = look.measured.swatches
    colours = lab_from_linear_srgb(
        [linear_from_hex(tint) for tint in ("#d9a05c", one.swatch.tint_srgb)]
    )
    roughness = look.measured.figures["specular_roughness"]
    assert float(delta_e_2000(*colours)) <= one.delta_e
    assert abs(roughness.value - 0.3) <= roughness.within
    assert len(look.pictures) == 2


def test_of_two_photos_the_fault_says_which(glitter, sea):
    noise = io.BytesIO()
    Image.effect_noise((400, 300), 60).convert("RGB").save(noise, "JPEG")
    blank = GivenPhoto("b.jpg", noise.getvalue(), "1,1,99,99", "1,1,99,99")
    seen = GivenPhoto("a.jpg", sea, "1,1,99,99", "1,1,99,99")

    with pytest.raises(PhotoError, match="photo on black: no card found"):
        find_look([seen, blank], "glitter", Setting())
    with pytest.raises(PhotoError, match="marked in one photo and not in the other"):
        find_look([glitter[0], blank], "glitter", Setting())


@pytest.mark.parametrize(
    ("spoilt", "told"),
    [
        (lambda data: b"", "this file is empty"),
        (lambda data: b"%PDF-1.7 and so on", "no photo that can be measured"),
        (lambda data: data[: len(data) // 2], "damaged|cannot be read|ends"),
    ],
)
def test_a_file_that_is_no_photo_is_told(sea, spoilt, told):
    given = GivenPhoto("a.jpg", spoilt(sea))
    for act in (preview, lambda one: find_look([one], "paint", DAYLIGHT)):
        with pytest.raises((PhotoError, AssetError), match=told):
            act(given)


def test_heic_is_measured_as_jpeg_is(sea, found):
    from pillow_heif import register_heif_opener

    register_heif_opener()
    heic = io.BytesIO()
    Image.open(io.BytesIO(sea)).save(heic, "HEIF", quality=95)

    other = find_look([GivenPhoto("IMG.HEIC", heic.getvalue())], "paint", DAYLIGHT)

    np.testing.assert_allclose(
        *(look.measured.swatches[0].swatch.reflectance for look in (other, found)), atol=0.03
    )


def test_a_large_photo_is_shown_small():
    large = io.BytesIO()
    Image.new("RGB", (2500, 1000), "#c04020").save(large, "JPEG", quality=95)

    small = Image.open(io.BytesIO(preview(GivenPhoto("../x/..", large.getvalue()))))

    assert small.size == (833, 333)
    np.testing.assert_allclose(small.getpixel((400, 100)), (0xC0, 0x40, 0x20), atol=3)


@pytest.mark.parametrize(
    ("kind", "given", "measured_as"),
    [
        ("paint", {}, "paint"),
        ("vinyl", {}, "vinyl"),
        ("foil", {}, "foil"),
        ("glitter", {}, "glitter"),
        ("wrap_sheet", {"sheet": "fabric"}, "fabric"),
        ("wrap_sheet", {"sheet": "film"}, "print"),
        ("epoxy", {}, None),
    ],
)
def test_what_a_product_is_measured_as(kind, given, measured_as):
    product = fresh_product(kind, "it", given, source="label")

    assert kind_of(product) == measured_as
    assert measured_as is None or measured_as in PHOTOS


def test_what_is_less_sure_is_never_called_nearer():
    words = [how_near(delta_e).partition(":")[0] for delta_e in (0.5, 1.5, 2.0, 4.0, 9.0)]

    assert words == ["very near", "very near", "near", "fair", "rough"]

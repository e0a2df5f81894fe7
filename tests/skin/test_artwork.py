"""Bitmaps as they come: phones, scanners, editors, and files that are not what they seem."""

import io
import struct
import time
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms

from mockup.design.document import Asset
from mockup.errors import AssetError
from mockup.skin.artwork import artwork_size_mm, read_artwork
from mockup.skin.outline import outline_from_bitmap
from mockup.skin.picture import MOST_PIXELS

# CIE xy of the primaries: SMPTE EG 432-1 (Display P3 with D65), Adobe RGB (1998) sec. 4.3.1.1,
# IEC 61966-2-1 for sRGB. White D65 (0.3127, 0.3290).
P3 = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
WIDE = ((0.640, 0.330), (0.210, 0.710), (0.150, 0.060))
SRGB = ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060))
D65_XY = (0.3127, 0.3290)
D50_XYZ = np.array([0.9642, 1.0, 0.8249])  # ICC.1:2001, sec. A.1
BRADFORD = np.array(  # Lam (1985), as printed in ICC.1:2010, annex E.3
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)


def xyz_of(xy):
    return np.array([xy[0] / xy[1], 1.0, (1 - xy[0] - xy[1]) / xy[1]])


def xyz_from_rgb(primaries):
    """Columns are the primaries' XYZ, scaled so that they sum to D65; SMPTE RP 177."""
    columns = np.array([xyz_of(p) for p in primaries]).T
    return columns * np.linalg.solve(columns, xyz_of(D65_XY))


def decoded(code):
    x = np.asarray(code) / 255
    return np.where(x <= 0.04045, x / 12.92, ((x + 0.055) / 1.055) ** 2.4)


def encoded(linear):
    x = np.clip(linear, 0, 1)
    return 255 * np.where(x <= 0.0031308, 12.92 * x, 1.055 * x ** (1 / 2.4) - 0.055)


def srgb_from(code, primaries, decode=decoded):
    """The published matrices alone: no profile, no colour management, no adaptation."""
    linear = np.linalg.solve(xyz_from_rgb(SRGB), xyz_from_rgb(primaries) @ decode(code))
    return encoded(linear)


def icc_profile(primaries, curve):
    """A matrix and curve profile, ICC.1:2001-04 (version 2), colorants adapted to D50.

    `curve` is the body of a curveType element: a count and 16-bit values.
    """
    cone = BRADFORD @ xyz_of(D65_XY), BRADFORD @ D50_XYZ
    adapt = np.linalg.solve(BRADFORD, (cone[1] / cone[0])[:, None] * BRADFORD)
    colorants = adapt @ xyz_from_rgb(primaries)

    def xyz_type(values):
        return b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(v * 65536) for v in values))

    name = b"Test RGB\0"
    tags = {
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", len(name)) + name + bytes(78),
        b"cprt": b"text\0\0\0\0none\0",
        b"wtpt": xyz_type(xyz_of(D65_XY)),
        **{key: xyz_type(colorants[:, i]) for i, key in enumerate((b"rXYZ", b"gXYZ", b"bXYZ"))},
        **dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), b"curv\0\0\0\0" + curve),
    }
    return assembled(b"mntrRGB XYZ ", tags)


def assembled(kind, tags):
    """Header, tag table and tags; `kind` is the device class, colour space and PCS."""
    table, body = struct.pack(">I", len(tags)), b""
    for key, value in tags.items():
        table += key + struct.pack(">II", 132 + 12 * len(tags) + len(body), len(value))
        body += value + bytes(-len(value) % 4)
    head = b"none" + bytes.fromhex("02100000") + kind
    head += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(28)
    head += struct.pack(">3i", *(round(v * 65536) for v in D50_XYZ)) + bytes(48)
    return struct.pack(">I", 4 + len(head) + len(table) + len(body)) + head + table + body


SRGB_CURVE = (
    struct.pack(">I", 1024)
    + np.rint(decoded(np.linspace(0, 255, 1024)) * 65535).astype(">u2").tobytes()
)
GAMMA_CURVE = struct.pack(">IH", 1, round(256 * 563 / 256))  # Adobe RGB (1998): 2 + 51/256


def saved(image, kind="PNG", name=None, **options):
    data = io.BytesIO()
    image.save(data, kind, **options)
    return Asset(name or f"assets/photo.{kind.lower()}", data.getvalue())


def read(asset, width_px=64, **more):
    return read_artwork(asset, where="design.toml: layers[1].artwork", width_px=width_px, **more)


def refusal(asset):
    """The one sentence that both ways of reading give."""
    sentences = set()
    for way in (read, lambda a: outline_from_bitmap(a, where="design.toml: layers[1].artwork")):
        with pytest.raises(AssetError) as caught:
            way(asset)
        sentences.add(str(caught.value))
    (sentence,) = sentences
    assert "\n" not in sentence
    return sentence


def test_a_phones_photo_comes_upright_and_in_its_true_colours():
    """12 megapixels, EXIF orientation 6, Display P3, reduced to a third."""
    corners = {  # upright (x, y) in thirds → P3 codes whose colours sRGB can hold
        (0, 0): (200, 60, 50),
        (1, 0): (60, 150, 90),
        (0, 1): (30, 60, 150),
        (1, 1): (210, 190, 120),
    }
    upright = Image.new("RGB", (3000, 4000))
    for (x, y), code in corners.items():
        upright.paste(code, (x * 1500, y * 2000, (x + 1) * 1500, (y + 1) * 2000))
    exif = Image.Exif()
    exif[0x0112] = 6  # "the 0th row is the visual right-hand side": turn clockwise to see it
    photo = saved(
        upright.transpose(Image.Transpose.ROTATE_90),
        "JPEG",
        exif=exif,
        icc_profile=icc_profile(P3, SRGB_CURVE),
        quality=95,
        subsampling=0,
    )

    began = time.perf_counter()
    art = read(photo, width_px=1000)
    seconds = time.perf_counter() - began

    assert art.rgba8_srgb.shape == (1333, 1000, 4)
    assert art.notes == ()
    for (x, y), code in corners.items():
        patch = art.rgba8_srgb[y * 666 + 100 : y * 666 + 560, x * 500 + 50 : x * 500 + 450]
        np.testing.assert_allclose(patch[..., :3].mean(axis=(0, 1)), srgb_from(code, P3), atol=2)
        assert (patch[..., 3] == 255).all()
    assert seconds < 5  # well under one here; leaves room for a busy machine
    width_mm, height_mm = artwork_size_mm(photo, where="design.toml")
    assert height_mm / width_mm == pytest.approx(4000 / 3000)


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_stands_upright(kind, orientation):
    """EXIF 2.32, tag 0x0112: what is stored, for a picture with red at its upper left."""
    upright = Image.new("RGB", (48, 32), (0, 0, 255))
    upright.paste((255, 0, 0), (0, 0, 24, 16))
    turn = Image.Transpose
    stored_from_upright = {
        2: turn.FLIP_LEFT_RIGHT,
        3: turn.ROTATE_180,
        4: turn.FLIP_TOP_BOTTOM,
        5: turn.TRANSPOSE,
        6: turn.ROTATE_90,
        7: turn.TRANSVERSE,
        8: turn.ROTATE_270,
    }
    stored = upright
    if orientation in stored_from_upright:
        stored = upright.transpose(stored_from_upright[orientation])
    exif = Image.Exif()
    exif[0x0112] = orientation

    options = {"lossless": True} if kind == "WEBP" else {}
    asset = saved(stored, kind, exif=exif, **options)
    art = read(asset).rgba8_srgb

    np.testing.assert_array_equal(art[..., :3], np.asarray(upright))
    width_mm, height_mm = artwork_size_mm(asset, where="design.toml")
    assert width_mm / height_mm == pytest.approx(48 / 32)


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP"])
def test_a_wide_gamut_is_converted_by_its_profile(kind):
    """Gamma 2.199 and a green further out than sRGB's, against the published matrices."""
    code = (120, 160, 110)
    picture = Image.new("RGB", (32, 32), code)
    profile = icc_profile(WIDE, GAMMA_CURVE)
    options = {"lossless": True} if kind == "WEBP" else {}
    art = read(saved(picture, kind, icc_profile=profile, **options))
    expected = srgb_from(code, WIDE, decode=lambda c: (np.array(c) / 255) ** (563 / 256))
    np.testing.assert_allclose(art.rgba8_srgb[5, 5, :3], expected, atol=2)
    assert art.notes == ()


def test_a_profile_leaves_alpha_alone():
    alpha = np.tile(np.arange(64, dtype=np.uint8) * 4, (64, 1))
    picture = Image.new("RGB", (64, 64), (120, 160, 110))
    picture.putalpha(Image.fromarray(alpha))
    art = read(saved(picture, icc_profile=icc_profile(P3, SRGB_CURVE)))
    np.testing.assert_array_equal(art.rgba8_srgb[..., 3], alpha)
    np.testing.assert_allclose(art.rgba8_srgb[9, 9, :3], srgb_from((120, 160, 110), P3), atol=2)


@pytest.mark.parametrize("profile", [b"not a profile", icc_profile(P3, SRGB_CURVE)[:300]])
def test_a_bad_profile_is_left_out_and_told(profile):
    art = read(saved(Image.new("RGB", (8, 8), (10, 200, 30)), icc_profile=profile))
    assert tuple(art.rgba8_srgb[4, 4]) == (10, 200, 30, 255)
    assert "colour profile that cannot be used" in art.notes[0]


def test_a_grey_scan_of_16_bits_keeps_its_tones():
    """A ramp over all 65 536 values ends as a ramp over 256: v / 257."""
    ramp = np.arange(65536, dtype=np.uint16).reshape(256, 256)
    for kind in ("PNG", "TIFF"):
        art = read(saved(Image.fromarray(ramp), kind), width_px=256).rgba8_srgb
        np.testing.assert_array_equal(art[..., 0], np.rint(ramp / 257))
        assert (art[..., 0] == art[..., 2]).all()


def test_a_palette_with_alpha_keeps_both():
    picture = Image.new("P", (8, 8), 1)
    picture.putpalette([255, 0, 0, 0, 128, 255])
    picture.paste(0, (0, 0, 4, 8))
    art = read(saved(picture, transparency=bytes([0, 128]))).rgba8_srgb
    assert tuple(art[0, 7]) == (0, 128, 255, 128)
    assert tuple(art[0, 0]) == (0, 128, 255, 0)  # clear, and the colour beside it bled under


@pytest.mark.parametrize(
    ("mode", "colour", "expected"),
    [
        ("1", 1, (255, 255, 255, 255)),
        ("L", 77, (77, 77, 77, 255)),
        ("LA", (77, 99), (77, 77, 77, 99)),
    ],
)
def test_grey_pictures_are_read(mode, colour, expected):
    art = read(saved(Image.new(mode, (8, 8), colour))).rgba8_srgb
    assert tuple(art[3, 3]) == expected


def print_profile(lab_of_ink):
    """A CMYK profile whose inks mix as `lab_of_ink` says; ICC.1:2001-04, lut8Type, 2^4 nodes."""
    nodes = np.stack(np.meshgrid(*[[0, 1]] * 4, indexing="ij"), axis=-1).reshape(-1, 4)
    lab = np.array([lab_of_ink(*node) for node in nodes]) * [2.55, 1, 1] + [0, 128, 128]
    ramp = bytes(range(256))
    matrix = struct.pack(">9i", *(65536 * np.eye(3, dtype=int)).ravel().tolist())
    table = b"mft1\0\0\0\0" + bytes([4, 3, 2, 0]) + matrix
    table += ramp * 4 + np.rint(lab).astype(np.uint8).tobytes() + ramp * 3
    name = b"Test CMYK\0"
    tags = {
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", len(name)) + name + bytes(78),
        b"cprt": b"text\0\0\0\0none\0",
        b"wtpt": b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(v * 65536) for v in D50_XYZ)),
        b"A2B0": table,
    }
    return assembled(b"prtrCMYKLab ", tags)


def test_print_colours_are_converted_by_their_profile():
    """Full cyan of a made-up press against Lab → XYZ (D50) → Bradford → sRGB by hand."""
    cyan_lab = np.array([60.0, -30.0, -35.0])

    def lab_of_ink(c, m, y, k):
        paper = np.array([100.0, 0.0, 0.0])
        return (paper if not c else cyan_lab) * (1 - k) * (1 - m / 2) * (1 - y / 2)

    inks = Image.new("CMYK", (8, 8), (255, 0, 0, 0))
    art = read(saved(inks, "TIFF", icc_profile=print_profile(lab_of_ink)))

    fy = (cyan_lab[0] + 16) / 116  # CIE 15:2004, eq. 8.1 to 8.4, all above the linear part
    xyz_d50 = D50_XYZ * np.array([fy + cyan_lab[1] / 500, fy, fy - cyan_lab[2] / 200]) ** 3
    cone = BRADFORD @ D50_XYZ, BRADFORD @ xyz_of(D65_XY)
    xyz_d65 = np.linalg.solve(BRADFORD, cone[1] / cone[0] * (BRADFORD @ xyz_d50))
    expected = encoded(np.linalg.solve(xyz_from_rgb(SRGB), xyz_d65))
    assert art.notes == ()
    np.testing.assert_allclose(art.rgba8_srgb[3, 3, :3], expected, atol=2)


def test_a_profile_for_another_kind_of_colour_is_left_out_and_told():
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    art = read(saved(Image.new("RGB", (8, 8), (9, 99, 199)), icc_profile=lab))
    assert tuple(art.rgba8_srgb[4, 4]) == (9, 99, 199, 255)
    assert "cannot be used" in art.notes[0]


def test_print_colours_without_a_profile_are_a_guess_that_is_told():
    art = read(saved(Image.new("CMYK", (8, 8), (255, 0, 0, 0)), "TIFF"))
    assert "CMYK without a usable profile" in art.notes[0]
    red, green, blue, _ = art.rgba8_srgb[3, 3]
    assert red < 60 < 120 < min(green, blue)  # cyan absorbs red


def test_lab_pictures_are_converted():
    """Red of sRGB under D50 is L* 54.29, a* 80.80, b* 69.89; Lindbloom's RGB working spaces."""
    stored = (round(54.29 * 2.55), 81 + 128, 70 + 128)
    art = read(saved(Image.new("LAB", (8, 8), stored), "TIFF"))
    np.testing.assert_allclose(
        art.rgba8_srgb[3, 3, :3], (255, 0, 0), atol=6
    )  # a*, b* in whole steps


def test_floating_point_pictures_are_refused():
    assert "floating-point" in refusal(saved(Image.new("F", (8, 8)), "TIFF"))


def test_an_animation_gives_its_first_frame_and_says_so():
    frames = [Image.new("RGB", (8, 8), c) for c in ("#ff0000", "#0000ff")]
    for kind in ("PNG", "WEBP"):
        options = {"lossless": True} if kind == "WEBP" else {}
        asset = saved(frames[0], kind, save_all=True, append_images=frames[1:], **options)
        art = read(asset)
        assert tuple(art.rgba8_srgb[3, 3, :3]) == (255, 0, 0)
        assert "its first frame is used" in art.notes[0]


def test_fine_stripes_keep_their_light():
    """Half black, half white sends out half the light: sRGB 188, not 128; IEC 61966-2-1."""
    stripes = np.zeros((512, 512), dtype=np.uint8)
    stripes[::2] = 255
    art = read(saved(Image.fromarray(stripes)), width_px=64).rgba8_srgb
    np.testing.assert_allclose(art[..., 0], encoded(0.5), atol=1)


def test_a_clear_neighbour_lends_no_colour():
    """Opaque red beside clear green: reduced, it is red at every opacity."""
    picture = np.zeros((300, 300, 4), dtype=np.uint8)
    picture[:, :, 1] = 255
    picture[:, :101] = (255, 0, 0, 255)
    art = read(saved(Image.fromarray(picture)), width_px=60).rgba8_srgb
    assert len(np.unique(art[..., 3])) > 2
    assert (art[..., :3] == (255, 0, 0)).all()


def test_pictures_are_never_enlarged_and_satisfy_both_needs():
    picture = saved(Image.new("RGB", (400, 100), (1, 2, 3)))
    assert read(picture, width_px=900).rgba8_srgb.shape == (100, 400, 4)
    assert read(picture, width_px=100).rgba8_srgb.shape == (25, 100, 4)
    assert read(picture, width_px=100, height_px=50).rgba8_srgb.shape == (50, 200, 4)
    assert read(picture, width_px=1).rgba8_srgb.shape == (1, 1, 4)


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF", "WEBP"])
@pytest.mark.parametrize("share", [0.0, 0.01, 0.3, 0.9])
def test_a_file_that_ends_early_is_refused(kind, share):
    noise = np.random.default_rng(4).integers(0, 256, (64, 64, 3), dtype=np.uint8)
    whole = saved(Image.fromarray(noise), kind)
    cut = Asset(whole.name, whole.data[: int(share * len(whole.data))])
    expected = "damaged or ends early" if len(cut.data) >= 12 else "is "
    assert expected in refusal(cut)


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF", "WEBP"])
def test_flipped_bytes_give_a_picture_or_one_sentence(kind):
    """Nothing in a damaged file may come out as a traceback."""
    noise = np.random.default_rng(5).integers(0, 256, (24, 24, 3), dtype=np.uint8)
    whole = bytearray(saved(Image.fromarray(noise), kind).data)
    rng = np.random.default_rng(6)
    for _ in range(120):
        data = bytearray(whole)
        for place in rng.integers(0, min(len(data), 600), 3):
            data[place] = rng.integers(0, 256)
        sentence = said_of(Asset(f"assets/a.{kind.lower()}", bytes(data)))
        assert sentence is None or ("assets/a." in sentence and "\n" not in sentence)


def said_of(asset):
    try:
        read(asset)
    except AssetError as error:
        return str(error)
    return None


def png_claiming(width, height):
    """A PNG whose header promises a size and whose data are a few bytes."""

    def chunk(kind, body):
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(bytes(1000))
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", body) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("size", [(12_000, 10_001), (20_000, 20_000), (2**31 - 1, 2**31 - 1)])
def test_a_bomb_is_refused_by_its_header(size):
    assert MOST_PIXELS == 12_000 * 10_000
    began = time.perf_counter()
    assert "more than 120 million pixels" in refusal(Asset("assets/a.png", png_claiming(*size)))
    assert time.perf_counter() - began < 1


@pytest.mark.parametrize(
    ("name", "data", "named"),
    [
        ("a.png", b"\xff\xd8\xff\xe0" + bytes(40), "is a JPEG file by its content"),
        ("a.jpg", b"\x89PNG\r\n\x1a\n" + bytes(40), "is a PNG file by its content"),
        ("a.png", b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is an SVG file by its content"),
        ("a.svg", b"\x89PNG\r\n\x1a\n" + bytes(40), "is a PNG file by its content"),
        ("a.png", b"GIF89a" + bytes(40), "is a GIF file"),
        ("a.jpg", b"\0\0\0\x18ftypheic" + bytes(40), "is a HEIC, AVIF or video file"),
        ("a.png", b"%PDF-1.7" + bytes(40), "is a PDF file"),
        ("a.png", b"<!DOCTYPE html><p>not found", "is a web page"),
        ("a.png", b"BM" + bytes(40), "is a BMP file"),
        ("a.png", b"hello", "is a file of an unknown kind"),
        ("a.png", b"", "is empty"),
        ("a", b"\x89PNG\r\n\x1a\n" + bytes(40), "is a PNG file by its content"),
    ],
)
def test_a_file_that_is_not_what_its_name_says_is_named(name, data, named):
    with pytest.raises(AssetError) as caught:
        read(Asset(f"assets/{name}", data))
    assert f"assets/{name} {named}" in str(caught.value)

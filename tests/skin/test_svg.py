import base64
import gzip
import io
import time

import pytest
from PIL import Image

from mockup.design.document import Asset
from mockup.errors import AssetError
from mockup.skin.artwork import artwork_size_mm, read_artwork
from mockup.skin.outline import outline_from_svg
from mockup.skin.sandbox import draw_svg
from mockup.skin.svg import admit_svg

XLINK = 'xmlns:xlink="http://www.w3.org/1999/xlink"'
BILLION_LAUGHS = (
    '<!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">'
    '<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>'
)


def svg(content, attributes='viewBox="0 0 100 50"', before=""):
    text = f'{before}<svg xmlns="http://www.w3.org/2000/svg" {XLINK} {attributes}>{content}</svg>'
    return Asset("assets/bunting.svg", text.encode())


def refusals(asset):
    """The sentence that every way in gives; all must refuse alike."""
    sentences = set()
    for way in (
        lambda: read_artwork(asset, where="design.toml", width_px=64),
        lambda: outline_from_svg(asset, where="design.toml"),
        lambda: artwork_size_mm(asset, where="design.toml"),
    ):
        with pytest.raises(AssetError) as caught:
            way()
        sentences.add(str(caught.value))
    (sentence,) = sentences
    assert "\n" not in sentence
    return sentence


@pytest.mark.parametrize(
    ("content", "named"),
    [
        ("<script>1</script>", "a script"),
        ('<rect width="9" height="9" onload="x()"/>', "a script (onload)"),
        ('<image href="https://example.org/a.png"/>', "reference (https://example.org/a.png)"),
        ('<image xlink:href="/etc/hostname"/>', "reference (/etc/hostname)"),
        ('<image href="file:///etc/hostname"/>', "reference (file:///etc/hostname)"),
        ('<use href="other.svg#a"/>', "reference (other.svg#a)"),
        ('<image href="data:image/svg+xml;base64,AAAA"/>', "reference (data:image/svg+xml"),
        ('<rect fill="url(http://example.org/#p)"/>', "reference (http://example.org/#p)"),
        ("<style>@import 'a.css';</style>", "@import"),
        ("<style>rect{fill:u\\72l(x)}</style>", "escaped"),
        ('<style>@font-face{src:url("a.woff")}</style>', "reference (a.woff)"),
        ('<rect><animate attributeName="x" to="9"/></rect>', "moves (<animate>)"),
        ("<foreignObject><p>hi</p></foreignObject>", "a foreign object"),
        ("<text>Stroke</text>", "holds text"),
        ("<g>" * 70 + "</g>" * 70, "nested more than 64"),
        ("<g/>" * 50_001, "more than 50000 elements"),
        ('<g id="a"><use href="#a"/></g>', "refers to itself"),
        ('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>', "refers to itself"),
        ("&ha;", "undefined entity"),
        ("<rect>", "not well-formed"),
    ],
)
def test_what_is_forbidden_is_refused_by_name(content, named):
    assert named in refusals(svg(content))


def test_entities_are_refused_before_they_grow():
    began = time.perf_counter()
    assert "declarations of its own" in refusals(svg("&c;", before=BILLION_LAUGHS))
    assert time.perf_counter() - began < 1


def test_a_style_sheet_outside_is_refused():
    before = '<?xml-stylesheet href="https://example.org/a.css"?>'
    assert "a style sheet" in refusals(svg("<rect/>", before=before))


def test_uses_that_multiply_are_refused_before_they_are_drawn():
    """Ten uses of ten uses of ...: 10^9 rectangles from a few hundred bytes."""
    levels = ['<rect id="l0" width="1" height="1"/>']
    levels += [f'<g id="l{i}">' + f'<use href="#l{i - 1}"/>' * 10 + "</g>" for i in range(1, 10)]
    began = time.perf_counter()
    assert "through <use>" in refusals(svg("".join(levels)))
    assert time.perf_counter() - began < 1


def test_a_chain_of_uses_is_refused_not_a_crash():
    chain = "".join(f'<use id="u{i}" href="#u{i + 1}"/>' for i in range(5000))
    assert "chains <use> more than 64 deep" in refusals(svg(chain))


def test_other_xml_and_gzip_bombs_are_refused():
    assert "its root is <html>" in refusals(Asset("assets/a.svg", b"<?xml version='1.0'?><html/>"))
    bomb = gzip.compress(b"<svg>" + b" " * (40 << 20))
    assert "larger than 16 MB" in refusals(Asset("assets/a.svgz", bomb))


def test_what_never_draws_is_let_through():
    """Titles, links, comments, editors' data and a plain document type are harmless."""
    asset = svg(
        '<!-- c --><title>Oar</title><desc>text</desc><ed:x xmlns:ed="urn:e" onload="1"/>'
        '<a href="https://example.org">'
        '<rect ed2:y="1" xmlns:ed2="urn:f" width="9" height="9"/></a>',
        before='<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/svg11.dtd">',
    )
    drawing = admit_svg(asset, where="design.toml")
    assert [e.tag for e in drawing.root.iter()] == ["svg", "a", "rect"]
    assert drawing.root[0].attrib == {}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "latin-1"])
def test_encodings_are_read_as_declared(encoding):
    text = (
        f'<?xml version="1.0" encoding="{encoding}"?><svg xmlns="http://www.w3.org/2000/svg" '
        'viewBox="0 0 4 4"><g id="île"><rect width="4" height="4"/></g></svg>'
    )
    asset = Asset("assets/a.svg", text.encode(encoding))
    assert "île" in admit_svg(asset, where="design.toml").by_id


def test_a_gzipped_drawing_without_a_namespace_is_read():
    plain = b'<svg viewBox="0 0 30 20"><rect width="3" height="2"/></svg>'
    asset = Asset("assets/a.svgz", gzip.compress(plain))
    assert outline_from_svg(asset, where="design.toml").area == 6


@pytest.mark.parametrize(
    ("attributes", "size_mm"),
    [
        ('width="50mm" height="20mm"', (50, 20)),
        ('width="2in" height="96" viewBox="0 0 7 9"', (50.8, 25.4)),
        ('viewBox="0 0 192 96"', (50.8, 25.4)),
        ('viewBox="3 4 192 96" width="100mm"', (100, 50)),
        ('viewBox="0 0 10 20" width="100%" height="40mm"', (20, 40)),
    ],
)
def test_a_drawing_has_its_natural_size(attributes, size_mm):
    """CSS px are 1/96 inch; a side left out follows the view box."""
    assert artwork_size_mm(svg("", attributes), where="design.toml") == pytest.approx(size_mm)


def test_a_drawing_is_made_at_the_size_asked():
    """Half red, half clear; the red is bled under the clear half."""
    art = read_artwork(
        svg('<rect width="50" height="50" fill="#c00"/>'), where="design.toml", width_px=400
    ).rgba8_srgb
    assert art.shape == (200, 400, 4)
    assert (art[:, :200] == (204, 0, 0, 255)).all()
    assert (art[:, 200:] == (204, 0, 0, 0)).all()


def test_row_0_is_the_top_and_height_counts_too():
    art = read_artwork(
        svg('<rect width="100" height="10"/>'), where="design.toml", width_px=10, height_px=100
    ).rgba8_srgb
    assert art.shape == (100, 200, 4)
    assert (art[:20, :, 3] == 255).all()
    assert (art[20:, :, 3] == 0).all()


def embedded(data):
    reference = "data:image/png;base64," + base64.b64encode(data).decode()
    return svg(f'<image width="100" height="50" preserveAspectRatio="none" href="{reference}"/>')


def test_pictures_inside_a_drawing_are_drawn():
    png = io.BytesIO()
    Image.new("RGB", (8, 8), (0, 128, 64)).save(png, "PNG")
    art = read_artwork(embedded(png.getvalue()), where="design.toml", width_px=20).rgba8_srgb
    assert (art == (0, 128, 64, 255)).all()


def test_damaged_pictures_inside_a_drawing_are_not_left_out_in_silence():
    png = io.BytesIO()
    Image.effect_noise((64, 64), 90).save(png, "PNG")
    for data in (png.getvalue()[:1500], b"", b"GIF89a"):
        with pytest.raises(AssetError, match=r"a picture inside .* is damaged"):
            read_artwork(embedded(data), where="design.toml", width_px=20)


def test_a_drawing_that_takes_too_long_is_stopped():
    """A heavy filter over a large picture: the child is killed and the wait ends."""
    blurs = '<feTurbulence numOctaves="500" baseFrequency=".9"/>' * 40
    slow = svg(
        f'<filter id="f" width="1" height="1">{blurs}</filter>'
        '<rect width="100" height="50" filter="url(#f)"/>'
    )
    drawing = admit_svg(slow, where="design.toml")
    began = time.perf_counter()
    with pytest.raises(AssetError, match="longer than 1 s to draw"):
        draw_svg(
            drawing.text(4000, 2000),
            width_px=4000,
            height_px=2000,
            name="assets/a.svg",
            where="design.toml",
            limit_s=1,
        )
    assert time.perf_counter() - began < 4


def test_a_drawing_that_brings_its_child_down_is_refused():
    """A canvas far beyond the child's memory ends the child, not the program."""
    drawing = admit_svg(svg("<rect/>"), where="design.toml")
    with pytest.raises(AssetError, match="cannot be drawn"):
        draw_svg(
            drawing.text(10**6, 10**6 // 2),
            width_px=10**6,
            height_px=10**6 // 2,
            name="assets/a.svg",
            where="design.toml",
        )


def test_a_sliver_that_would_be_endless_is_refused():
    asset = svg("<rect width='1' height='1'/>", 'viewBox="0 0 1 900"')
    with pytest.raises(AssetError, match="px"):
        read_artwork(asset, where="design.toml", width_px=2000)

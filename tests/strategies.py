"""Hypothesis strategies for designs. Every kind of layer and every shape must join `designs()`."""

import math

from hypothesis import strategies as st

from mockup.design.blanks import LibraryBlank, ProfileBlank, StraightBlank, TaperedBlank
from mockup.design.document import Asset, Design, Document
from mockup.design.layers import (
    Backing,
    Band,
    BaseLayer,
    CoatLayer,
    DecalLayer,
    Fade,
    GlitterLayer,
    MixPart,
    Patch,
    Place,
    Scatter,
    WrapLayer,
)
from mockup.design.palette import (
    METALS,
    FilmLayer,
    FilmSwatch,
    HologramSwatch,
    MetalSwatch,
    Palette,
    PigmentSwatch,
    SpectrumSwatch,
)

__all__ = ["designs", "documents", "layers", "palettes"]

PIGMENTS = ("base", "tint", "keel.line", "ébène")  # dots and accents need quotes in a TOML key
METAL_ROLES = ("foil", "flake 2")
ROLES = st.sampled_from(PIGMENTS + METAL_ROLES)
PIGMENT_ROLES = st.sampled_from(PIGMENTS)

gloss = st.sampled_from(["flat", "satin", "gloss"])
angles_deg = st.floats(-360, 360)
shares = st.floats(0, 1)
heights_mm = st.floats(-600, 600)
one_line = st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=12)
names = one_line.filter(bool)
any_text = st.text(st.characters(exclude_categories=["Cs"]), max_size=24)
colours = st.integers(0, 0xFFFFFF).map(lambda rgb8_srgb: f"#{rgb8_srgb:06x}")


def _between(low, high):
    """Floats strictly between two bounds."""
    return st.floats(low, high, exclude_min=True, exclude_max=True)


def _either(first, second, values, other=None):
    """One of two keys: what was measured."""
    return st.one_of(
        st.fixed_dictionaries({first: values}),
        st.fixed_dictionaries({second: values if other is None else other}),
    )


def _joined(*dictionaries):
    return st.tuples(*dictionaries).map(
        lambda parts: {k: v for part in parts for k, v in part.items()}
    )


def _given(model, **optional):
    """A model of which the maker may have left out any of the optional keys."""
    return lambda required: _joined(required, st.fixed_dictionaries({}, optional=optional)).map(
        lambda keys: model(**keys)
    )


gaps = {
    "foot_gap_mm": st.floats(0, 80),
    "rim_gap_mm": st.floats(0, 80),
    "lid": st.booleans(),
    "capacity_ml": _between(0, 10_000),
}
walls_mm = _between(5, 600)
straight_blanks = _given(StraightBlank, **gaps)(
    _joined(
        _either("diameter_mm", "circumference_mm", _between(10, 400), _between(30, 1300)),
        st.fixed_dictionaries({"wall_height_mm": walls_mm}),
    )
)
tapered_blanks = _given(TaperedBlank, **gaps)(
    _joined(
        _either("foot_diameter_mm", "foot_circumference_mm", _between(30, 400)),
        _either("rim_diameter_mm", "rim_circumference_mm", _between(30, 400)),
        _either("wall_height_mm", "slant_height_mm", walls_mm),
    )
)
profile_blanks = _given(ProfileBlank, **gaps)(
    st.fixed_dictionaries(
        {
            "points_mm": st.lists(
                st.tuples(st.floats(0, 300), st.floats(20, 90)), min_size=2, max_size=5
            ).map(tuple)
        }
    )
)
library_blanks = st.builds(LibraryBlank, name=names, lid=st.booleans())
blanks = st.one_of(straight_blanks, tapered_blanks, profile_blanks, library_blanks)

places = st.builds(Place, height_mm=heights_mm, angle_deg=angles_deg, rotation_deg=angles_deg)
drawings = st.sampled_from(["assets/bunting.svg", "assets/oars & waves/Möwe.svg"])
bitmaps = st.just("assets/crest.png")
fonts = st.sampled_from(["Amatic SC Bold", "assets/own hand.ttf"])

base_layers = _given(BaseLayer, name=one_line, gloss=gloss)(
    st.fixed_dictionaries({"swatch": PIGMENT_ROLES})
)
wrap_layers = _given(
    WrapLayer,
    name=one_line,
    height_mm=_between(1, 2000),
    rotation_deg=angles_deg,
    offset_mm=st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)),
    from_mm=st.floats(0, 300),
    to_mm=_between(300, 600),
    seam_deg=angles_deg,
    overlap_mm=st.floats(0, 40),
    sheet=st.sampled_from(["paper", "film", "fabric"]),
    sealed=st.booleans(),
)(
    _joined(
        st.fixed_dictionaries({"artwork": drawings}),
        st.one_of(
            st.just({}),
            st.fixed_dictionaries({"fit": st.just("tile"), "width_mm": _between(1, 2000)}),
            st.fixed_dictionaries(
                {"fit": st.just("placed"), "width_mm": _between(1, 2000), "place": places}
            ),
        ),
    )
)


@st.composite
def _upward(draw, model, **others):
    """A band or fade between two heights."""
    low_mm = draw(st.floats(-600, 599))
    high_mm = draw(st.floats(math.nextafter(low_mm, math.inf), 600))
    return model(from_mm=low_mm, to_mm=high_mm, **{k: draw(v) for k, v in others.items()})


coverages = st.one_of(
    _upward(Band, coverage=shares, edge_mm=st.floats(0, 200)),
    _upward(Fade, coverage_from=shares, coverage_to=shares),
    _given(Patch, angle_deg=angles_deg, feather_mm=st.floats(0, 200))(
        st.fixed_dictionaries(
            {"height_mm": heights_mm, "radius_mm": st.floats(0, 600), "coverage": shares}
        )
    ),
    st.builds(Scatter, coverage=shares),
)
glitter_layers = _given(
    GlitterLayer, name=one_line, tilt_deg=st.floats(0.5, 15), seed=st.integers(0, 9999)
)(
    _joined(
        _either(
            "cut_mm",
            "cut_in",
            st.floats(0.05, 4.0),
            st.one_of(st.floats(0.002, 0.157), st.sampled_from([".015", "1/64", "0.04"])),
        ),
        st.fixed_dictionaries(
            {
                "mix": st.lists(
                    st.builds(MixPart, swatch=ROLES, share=_between(0, 1000)),
                    min_size=1,
                    max_size=3,
                ).map(tuple),
                "coverage": st.lists(coverages, min_size=1, max_size=3).map(tuple),
            }
        ),
    )
)
sizes = _either("width_mm", "height_mm", _between(0.5, 600))
decal_layers = _given(
    DecalLayer,
    name=one_line,
    font=fonts,
    letter_spacing_mm=st.floats(-5, 50),
    line_spacing=st.floats(0.5, 4),
    dark_is_shape=st.booleans(),
    lie=st.sampled_from(["level", "straight"]),
    outset_mm=st.floats(-20, 20),
    backing=st.lists(
        st.builds(Backing, swatch=ROLES, outset_mm=st.floats(-20, 20)), max_size=3
    ).map(tuple),
)(
    _joined(
        st.fixed_dictionaries({"swatch": ROLES, "place": places}),
        st.one_of(
            _joined(_either("svg", "bitmap", drawings, bitmaps), sizes),
            st.fixed_dictionaries(
                {"text": any_text.filter(bool), "letter_height_mm": _between(0.5, 300)}
            ),
        ),
    )
)
coat_layers = _given(CoatLayer, name=one_line, gloss=gloss, tint=PIGMENT_ROLES)(
    st.fixed_dictionaries({"thickness_mm": _between(0.005, 5)})
)
layers = st.one_of(base_layers, wrap_layers, glitter_layers, decal_layers, coat_layers)


@st.composite
def spectra(draw):
    """Measured reflectances: as many as there are wavelengths, over the whole visible range."""
    inner_nm = draw(st.lists(st.floats(431, 669), min_size=1, max_size=4, unique=True))
    nm = (draw(st.floats(300, 430)), *sorted(inner_nm), draw(st.floats(670, 1100)))
    reflectance = draw(st.tuples(*[shares] * len(nm)))
    source = draw(any_text.filter(bool))
    return SpectrumSwatch(label=draw(one_line), nm=nm, reflectance=reflectance, source=source)


pigments = st.one_of(
    st.builds(PigmentSwatch, label=one_line, srgb=colours, source=any_text), spectra()
)
metals = st.builds(
    MetalSwatch,
    label=one_line,
    metal=st.sampled_from(METALS),
    tint_srgb=colours,
    specular_roughness=st.floats(0.1, 0.7),
    specular_roughness_anisotropy=st.floats(0, 0.9),
    brushed=st.sampled_from(["round", "upright"]),
)
films = st.builds(
    FilmSwatch,
    label=one_line,
    metal=st.sampled_from((*METALS, "none")),
    layers=st.lists(
        st.builds(
            FilmLayer, n=st.floats(1, 5), k=st.floats(0, 8), thickness_nm=st.floats(0.5, 100)
        ),
        min_size=1,
        max_size=7,
    ).map(tuple),
)
holograms = st.builds(
    HologramSwatch,
    label=one_line,
    metal=st.sampled_from(METALS),
    tint_srgb=colours,
    period_um=st.floats(0.4, 10),
    first_order_efficiency=st.floats(0, 0.339),
    grooves=st.sampled_from(["upright", "round", "crossed", "shards"]),
    shard_mm=st.floats(0.2, 20),
)
palettes = st.builds(
    Palette,
    name=names,
    note=any_text,
    roles=st.fixed_dictionaries(
        dict.fromkeys(PIGMENTS, pigments)
        | dict.fromkeys(METAL_ROLES, st.one_of(metals, films, holograms))
    ),
)
documents = st.builds(
    Document,
    format=st.just(1),
    title=names,
    note=any_text,
    blank=blanks,
    palette=st.sampled_from(["spring tide", "neap"]),
    light=st.sampled_from(["softbox", "window"]),
    layers=st.lists(layers, min_size=1, max_size=4).map(tuple),
)


@st.composite
def designs(draw):
    """Whole designs: a document, two palettes that suit it, and bytes for each asset it names."""
    document = draw(documents)
    return Design(
        document,
        {name: draw(palettes) for name in ("spring tide", "neap")},
        {name: Asset(name, draw(st.binary(max_size=16))) for name in document.asset_names()},
    )

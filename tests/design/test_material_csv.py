"""Whatever a maker tells of a material comes through a spreadsheet's table unchanged."""

from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.design.material import Entry, fresh_product, kinds, particular, with_figures
from mockup.design.material_csv import materials_text, read_materials
from mockup.design.products import figures_of
from tests.strategies import films, holograms, metals, pigments

lines = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=30)
names = lines.map(str.strip).filter(bool)
sources = names.filter(lambda name: not set(":;") & set(name))
json = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)


@st.composite
def entries(draw):
    kind = draw(st.sampled_from(sorted(kinds())))
    suits = tuple(draw(st.lists(names, max_size=3)))
    product = fresh_product(kind, draw(names), {}, source="", suits=suits)
    chosen = draw(st.sets(st.sampled_from(["pack_price_minor", "loss_share"])))
    given = {
        "pack_price_minor": draw(st.integers(0, 10**9)),
        "loss_share": draw(st.floats(0, 5)),
    }
    given = {name: given[name] for name in chosen}
    if given:
        product = with_figures(product, given, source=draw(sources))
    others = draw(st.dictionaries(st.sampled_from(figures_of(type(product))), sources, max_size=3))
    product = product.model_copy(update={"sources": product.sources | others})
    swatch = draw(st.none() | pigments | metals | films | holograms)
    told = {
        "product": particular(product),
        "batch": draw(st.just("") | names),
        "note": draw(st.just("") | st.text(st.characters(exclude_categories=("Cs",)), max_size=40)),
        "on_hand": draw(st.integers(0, 10**12)) / 10_000,
        "swatch": swatch,
        "measured": draw(st.dictionaries(st.text(), json, max_size=3)) if swatch else {},
    }
    return Entry.made(told, where="")


@given(st.lists(entries(), min_size=1, max_size=3, unique_by=lambda e: e.product.name.casefold()))
@settings(max_examples=60)
def test_a_table_holds_materials_whole(told):
    text = materials_text(told)

    read = [entry for entry, _ in read_materials(text, where="shelf.csv")]

    assert read == told
    assert materials_text(read) == text

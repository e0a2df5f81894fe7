"""Text is shown in the letters at hand, and what is left out is told."""

import io

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.errors import OutputError
from mockup.outputs.letters import BOX, legible
from mockup.outputs.sheet import Sheet, Type

BODY = Type("regular", 9, 4.3)
LATIN = {*range(0x20, 0x7F), *range(0xA0, 0x180), ord(BOX)}


@pytest.mark.parametrize(
    ("text", "shown", "strange"),
    [
        ("Seat 7, Łódź", "Seat 7, Łódź", ()),
        ("漕艇 club 漕", f"{BOX}{BOX} club {BOX}", ("漕", "艇")),
        ("go \U0001f6a3\U0001f3fd\u200d\u2640\ufe0f!", f"go {BOX}!", ("\U0001f6a3",)),
        ("\U0001f469\u200d\U0001f467", BOX, ("\U0001f469",)),  # joined ones are one box
        ("a\u202eb\x07c", "abc", ()),  # nothing turns the writing round or rings
        ("non\u2011stop\tday", "non-stop day", ()),
    ],
)
def test_what_cannot_be_shown_is_a_box_and_told(text, shown, strange):
    assert legible(text, LATIN) == (shown, strange)


@given(st.text())
def test_only_known_letters_are_left(text):
    shown, _ = legible(text, LATIN)

    assert {ord(letter) for letter in shown} <= LATIN | {ord("\n")}


@given(st.text(alphabet=[chr(code) for code in sorted(LATIN - {0xAD})]))
def test_what_can_be_shown_stays_as_it_is(text):
    assert legible(text, LATIN) == (text, ())


def _page(*texts, lenient=False):
    sheet = Sheet("a4", "letters", lenient=lenient)
    sheet.page()
    for i, text in enumerate(texts):
        sheet.line_of_text(20, 20 + 10 * i, text, BODY)
    return sheet, pypdf.PdfReader(io.BytesIO(sheet.finished())).pages[0]


def test_other_scripts_are_taken_from_another_font_and_stay_text():
    """Hebrew and Arabic are laid from right to left and come out as they are read."""
    _, page = _page("Ruderclub \u05e9\u05dc\u05d5\u05dd", "\u0645\u0631\u062d\u0628\u0627", "♥ ★")

    text = page.extract_text()
    assert "\u05e9\u05dc\u05d5\u05dd" in text or "\u05dd\u05d5\u05dc\u05e9" in text
    assert "♥ ★" in text
    fonts = {font.get_object()["/BaseFont"] for font in page["/Resources"]["/Font"].values()}
    assert any("DejaVuSans" in name for name in fonts)


def test_a_page_in_our_own_letters_carries_no_other_font():
    _, page = _page("Seaglass Eight, Łódź, Ωμέγα, Жёлтый")

    fonts = {font.get_object()["/BaseFont"] for font in page["/Resources"]["/Font"].values()}
    assert all("SourceSansPro" in name for name in fonts)


def test_accents_that_come_apart_are_put_together():
    _, page = _page("Cafe\u0301")

    assert "Café" in page.extract_text()


def test_a_lenient_sheet_keeps_what_it_left_out():
    sheet, page = _page("漕 Seaglass", lenient=True)

    assert sheet.missing == {"漕"}
    assert f"{BOX} Seaglass" in page.extract_text()


def test_a_strict_sheet_refuses():
    with pytest.raises(OutputError, match="font has no '漕'"):
        _page("漕艇")

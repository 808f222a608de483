"""The shipped fonts against FreeType (Pillow) and svgelements, which read the same files their own way."""

import subprocess
import sys

import pytest
from fontTools.ttLib import TTFont
from PIL import Image, ImageDraw, ImageFont
from svgelements import Path as SvgPath

from boardmaker import fonts

# Pangrams in scripts that bike files come in, and the signs that boards print (common practice, no source).
WORDS = {
    "English": "Sphinx of black quartz, judge my vow",
    "German": "Zwölf Boxkämpfer jagen Viktor quer über den großen Sylter Deich",
    "French": "Dès Noël où un zéphyr haï me vêt de glaçons würmiens, œuf",
    "Polish": "Pchnąć w tę łódź jeża lub ośm skrzyń fig",
    "Czech": "Příliš žluťoučký kůň úpěl ďábelské ódy",
    "Turkish": "Pijamalı hasta yağız şoföre çabucak güvendi",
    "Vietnamese": "Đường ống xả, nắp bình xăng",
    "Greek": "Ξεσκεπάζω την ψυχοφθόρα βδελυγμία",
    "Russian": "Съешь же ещё этих мягких французских булок, да выпей чаю",
    "signs": "▲△●○□✓✗⚠ · × – — … ° ⌀ ½ ¼ ¾ ² ³ ± µ Ω € → № ≥ “”‘’«»",
}
BOTH = pytest.mark.parametrize("bold", [False, True], ids=["regular", "bold"])


def freetype(bold: bool) -> ImageFont.FreeTypeFont:
    """Open the font so large that one pixel is one font unit (2048 to the em)."""
    return ImageFont.truetype(str(fonts.font_path(bold)), 2048, layout_engine=ImageFont.Layout.BASIC)


@BOTH
@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS.keys())
def test_a_width_is_what_freetype_measures(words, bold):
    """FreeType's advances, scaled to a height of 2.5 mm, give the same width."""
    expected = freetype(bold).getlength(words) * fonts.unit_size(2.5, bold)
    assert fonts.text_width(words, 2.5, bold) == pytest.approx(expected, abs=0.001)


@BOTH
def test_the_height_is_that_of_the_capitals(bold):
    """A flat capital that FreeType draws at `em_size(7)` is 7 mm high."""
    _, top, _, bottom = freetype(bold).getbbox("E", anchor="ls")
    assert -top / 2048 * fonts.em_size(7, bold) == pytest.approx(7, abs=0.002)
    assert bottom == 0


@BOTH
def test_the_box_holds_the_ink_that_freetype_draws(bold):
    """Above and below the baseline, the box ends where FreeType's ink ends."""
    _, above, below = fonts.text_box("Ågx", 3.5, bold)
    _, top, _, bottom = freetype(bold).getbbox("Ågx", anchor="ls")
    size = fonts.unit_size(3.5, bold)
    assert (above, below) == pytest.approx((-top * size, bottom * size), abs=2 * size)
    assert fonts.text_box("HE", 3.5, bold)[1:] == (3.5, 0)


@BOTH
def test_text_of_2_mm_has_an_x_height_of_1_4_mm(bold):
    """Labels keep off, and can be read: the smallest text that a board may carry."""
    assert fonts.x_height(2.0, bold) >= 1.4
    assert fonts.x_height(2.0, bold) == pytest.approx(2.0 * 1120 / 1493)  # x and H of DejaVu Sans 2.37, from memory


@BOTH
def test_line_heights_hold_an_accented_capital_and_a_tail(bold):
    """Å and g lie between ascent and descent."""
    _, above, below = fonts.text_box("Ågjç", 5, bold)
    assert fonts.ascent(5, bold) >= above
    assert fonts.descent(5, bold) >= below > 0


@BOTH
def test_figures_are_as_wide_as_each_other(bold):
    """Columns of numbers line up."""
    assert len({fonts.text_width(figure, 2.5, bold) for figure in "0123456789"}) == 1


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS.keys())
def test_the_scripts_of_bike_files_are_covered(words):
    """No letter of these is missing."""
    assert fonts.missing_glyphs(words) == ""


def test_missing_letters_are_named_once_in_order():
    """What the fonts lack comes back, the rest does not."""
    assert fonts.missing_glyphs("日本 screw 日 A\n") == "日本\n"


def test_a_missing_letter_is_shown_as_one_that_is_plainly_missing():
    """Every renderer sets and measures the replacement character instead."""
    assert fonts.shown_text("A 日") == "A \ufffd"
    assert fonts.text_width("日", 2.5) == fonts.text_width("\ufffd", 2.5) > 0


def test_accents_written_apart_are_set_as_one_letter():
    """A name typed on another system (Unicode NFD) has the same width and nothing missing."""
    assert fonts.missing_glyphs("e\u0301") == ""
    assert fonts.text_width("e\u0301", 2.5) == fonts.text_width("é", 2.5)


@BOTH
@pytest.mark.parametrize("letter", "ABgÅ&8□½Жß")
def test_an_outline_is_the_ink_that_freetype_draws(letter, bold):
    """The path data of a letter has the box of FreeType's picture of it, to the font unit."""
    picture = Image.new("1", (3000, 3000))
    ImageDraw.Draw(picture).text((500, 2200), letter, fill=1, font=freetype(bold), anchor="ls")
    left, top, right, bottom = picture.getbbox()
    expected = (left - 500, 2200 - bottom, right - 500, 2200 - top)
    assert SvgPath(fonts.outline_data(letter, bold)).bbox() == pytest.approx(expected, abs=1.5)


def test_letters_of_a_text_stand_one_advance_apart():
    """The outline of `HH` reaches one advance further than that of `H`."""
    one, two = (SvgPath(fonts.outline_data(text)).bbox() for text in ("H", "HH"))
    advance = fonts.text_width("H", 2.5) / fonts.unit_size(2.5)
    assert two[2] - one[2] == pytest.approx(advance)


def test_blanks_have_a_width_and_no_outline():
    """A blank moves on without ink."""
    assert fonts.text_width("  ", 2.5) > 0
    assert fonts.outline_data("  ") == ""
    assert fonts.text_box("  ", 2.5)[1:] == (0, 0)


@BOTH
def test_no_letter_leans_out_by_half_its_height(bold):
    """The boxes that decide what a window shows allow half the height of the capitals to either side."""
    font = TTFont(fonts.font_path(bold))
    half = fonts.glyph("H", bold).high / 2
    shapes = {name: font["glyf"][name] for name in font.getBestCmap().values()}
    leans = {
        name: max(-shape.xMin, shape.xMax - font["hmtx"][name][0])
        for name, shape in shapes.items()
        if shape.numberOfContours
    }
    assert len(leans) > 1900
    assert max(leans.values()) < half


@BOTH
def test_the_files_are_small_unhinted_and_may_be_embedded(bold):
    """Under 250 KB, no instructions, no kerning, and the embedding flag (OpenType OS/2 fsType) is 0, "installable"."""
    font = TTFont(fonts.font_path(bold))
    assert fonts.font_path(bold).stat().st_size < 250_000
    assert not {"fpgm", "prep", "cvt ", "kern", "GPOS", "GSUB"} & set(font.keys())
    assert font["OS/2"].fsType == 0


def test_both_weights_cover_the_same_letters():
    """What is set in regular type can be set in bold."""
    regular, bold = (set(TTFont(fonts.font_path(weight)).getBestCmap()) for weight in (False, True))
    assert regular == bold


def test_importing_the_fonts_loads_no_library():
    """The help text stays quick: fontTools comes with the first measure."""
    code = "import sys, boardmaker.fonts; sys.exit('fontTools' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0

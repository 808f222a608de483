"""The make of the PDF file, read with pikepdf and pdfplumber: fonts, labels, bookmarks, hints to the print dialog."""

import io

import pdfplumber
import pikepdf
import pytest
from render_samples import BARS, BOARD, WHOLE, show

from boardmaker.display_list import Page, Text
from boardmaker.fonts import text_width
from boardmaker.render.pdf import render_pdf
from boardmaker.render.printer_scale import read_note, write_note

PAGES = [WHOLE, BARS, show(BOARD, (0, 0, 100, 140))]


@pytest.fixture(scope="module")
def made():
    """Open a file of three pages."""
    file = render_pdf(
        PAGES, title="Fjellvik – é Ж", subject="Boards", printer_scale=(1.015, 1.0), keywords="air-filter"
    )
    with pikepdf.open(io.BytesIO(file)) as document:
        yield document


def fonts_of(document: pikepdf.Pdf) -> list[pikepdf.Object]:
    found = [item for item in document.objects if isinstance(item, pikepdf.Dictionary)]
    return [item for item in found if item.get("/Type") == "/Font"]


def test_every_font_is_ours_and_embedded_as_a_subset(made):
    """No Helvetica, nothing for the reader to replace: each font brings its own program (ISO 32000-1, 9.6.4, 9.9)."""
    fonts = fonts_of(made)
    assert len(fonts) == 2
    for font in fonts:
        assert str(font["/BaseFont"]).split("+")[1] in {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}
        assert len(font["/FontDescriptor"]["/FontFile2"].read_bytes()) > 1000


def test_the_print_dialog_is_asked_not_to_scale(made):
    """ViewerPreferences PrintScaling None (ISO 32000-1, table 150)."""
    assert made.Root["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_pages_have_their_size_and_nothing_that_readers_disagree_on(made):
    """MediaBox in points, no UserUnit, no CropBox, no turn."""
    for made_page, page in zip(made.pages, PAGES, strict=True):
        box = [float(value) for value in made_page["/MediaBox"]]
        assert box == pytest.approx([0, 0, page.width * 72 / 25.4, page.height * 72 / 25.4], abs=0.001)
        assert not {"/UserUnit", "/CropBox"} & set(made_page.keys())
        assert made_page.get("/Rotate", 0) == 0


def test_pages_are_labelled_and_bookmarked(made):
    """A label is the page's own, or its number; only pages with a bookmark are in the outline."""
    assert [page.label for page in made.pages] == ["1", "test", "3"]
    with made.open_outline() as outline:
        assert [entry.title for entry in outline.root] == ["Board 1"]


def test_the_file_says_what_it_is_and_nothing_of_where_it_was_made(made):
    """Title and subject as given; a fixed date, no author, no metadata stream."""
    assert str(made.docinfo["/Title"]) == "Fjellvik – é Ж"
    assert str(made.docinfo["/Subject"]) == "Boards"
    assert str(made.docinfo["/Author"]) == ""
    assert str(made.docinfo["/CreationDate"]).startswith("D:20000101")
    assert "/Metadata" not in made.Root


def test_the_printer_scale_is_recorded(made):
    """Whoever checks the file can read which scale was taken out."""
    keywords = str(made.docinfo["/Keywords"])
    assert keywords == "air-filter boardmaker printer-scale 1.015000 1.000000"
    assert read_note(keywords) == (1.015, 1.0)


def test_a_note_comes_back_as_it_was_written():
    """To a millionth: 0.0003 mm on the long side of A4; a file of somebody else has none."""
    assert read_note(write_note((180.4 / 180, 0.98765))) == pytest.approx((180.4 / 180, 0.98765), abs=1e-6)
    assert read_note("screws, boards") is None


def test_text_stays_text():
    """Words can be searched and copied, in every script that the fonts cover."""
    page = Page(
        210, 297, (Text((20, 200), "Łódź ½ Жук Ωmega 5 N·m", 3.5), Text((20, 100), "turned", 3.5, angle_deg=90))
    )
    with pdfplumber.open(io.BytesIO(render_pdf([page], title="text"))) as document:
        letters = "".join(letter["text"] for letter in document.pages[0].chars)
    assert letters == "Łódź ½ Жук Ωmega 5 N·mturned"


@pytest.mark.parametrize("bold", [False, True])
def test_a_long_line_is_as_wide_as_the_fonts_say(bold):
    """The widths in the file are exact: over 140 letters pdfplumber and `text_width` differ by less than 0.01 mm."""
    words = "AVAVAV To Ty Left tank side cover, 12 screws M6 × 16, tighten to 5 N·m – " * 2
    page = Page(400, 50, (Text((5, 20), words, 2.5, bold=bold),))
    with pdfplumber.open(io.BytesIO(render_pdf([page], title="text"))) as document:
        letters = document.pages[0].chars
    width = (letters[-1]["x1"] - letters[0]["x0"]) * 25.4 / 72
    assert width == pytest.approx(text_width(words, 2.5, bold), abs=0.01)


def test_a_missing_letter_is_not_silent():
    """A letter that the fonts lack is drawn as the replacement character."""
    with pdfplumber.open(io.BytesIO(render_pdf([Page(50, 50, (Text((5, 5), "日"),))], title="t"))) as document:
        assert [letter["text"] for letter in document.pages[0].chars] == ["\ufffd"]


def test_a_file_without_pages_is_refused():
    """A PDF needs a page."""
    with pytest.raises(ValueError, match="needs a page"):
        render_pdf([], title="nothing")

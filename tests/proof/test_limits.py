"""Limits of what is looked at in a stranger's PDF: said, and held to before the work."""

from __future__ import annotations

import io
import zlib

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name
from spoiling import raw_pdf

from boardmaker.command_line import run
from boardmaker.problems import ProblemsFound
from boardmaker.proof import prove, structure

CATALOG = "<</Type /Catalog /Pages 2 0 R>>"
TREE = "<</Type /Pages /Kids [3 0 R] /Count 1>>"


def page_with(entries):
    return raw_pdf(CATALOG, TREE, f"<</Type /Page /Parent 2 0 R {entries}>>")


def refusal(content):
    with pytest.raises(ProblemsFound) as caught:
        prove(content, "strange.pdf")
    (problem,) = caught.value.problems
    assert problem.hint
    return problem.message


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ("/MediaBox [0 0 200000 200000]", "page 1 is 70.6 m long; a PDF's page has 5.08 m at most"),
        ("/MediaBox [-9000000000000000000000 0 595 842]", "m long"),
        ("/MediaBox [0 0 595 842] /UserUnit 100", "page 1 is 29.7 m long"),
        ("/MediaBox [0 0 595 842] /CropBox [0 0 595 99999]", "page 1 is 35.3 m long"),
        ("/MediaBox [0 0 595 842] /UserUnit 0", "UserUnit 0"),
        ("/MediaBox [0 0 595 842] /UserUnit -1", "UserUnit -1"),
    ],
)
def test_a_page_is_no_larger_than_a_pdf_allows(entries, said):
    """14,400 units of 1/72 in (ISO 32000-1, annex C), the page's own unit counted in."""
    assert said in refusal(page_with(entries))


def test_the_largest_page_is_still_measured():
    """It lacks its bars, and that is what is said."""
    proof = prove(page_with("/MediaBox [0 0 14400 100]"), "long.pdf")
    assert any("no test bar" in one.message for one in proof.problems)


def test_objects_are_counted(monkeypatch):
    """Before any of them is read."""
    monkeypatch.setattr(structure, "MOST_OBJECTS", 2)
    assert "consists of 3 objects" in refusal(page_with("/MediaBox [0 0 595 842]"))


def document_with(content, **entries):
    document = pikepdf.new()
    page = document.add_blank_page(page_size=(595, 842))
    page.Contents = document.make_stream(b"")
    page.Contents.write(content, **entries)
    return document, page


def saved(document):
    written = io.BytesIO()
    document.save(written, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)
    return written.getvalue()


@pytest.mark.slow
@pytest.mark.parametrize("times", [1, 2])
def test_a_stream_that_swells_is_not_unpacked(times):
    """A hundred megabytes of blanks, packed once to a hundred kilobytes or twice to less."""
    packer = zlib.compressobj(9)
    packed = b"".join(packer.compress(b" " * 10_000_000) for _ in range(10)) + packer.flush()
    filters = [Name.FlateDecode]
    if times == 2:
        packed, filters = zlib.compress(packed, 9), filters * 2
    document, _ = document_with(packed, filter=Array(filters))
    assert "more than can be looked through" in refusal(saved(document))


@pytest.mark.parametrize("call", [b"/F%\n Do ", b"/#46 Do ", b"/F\0Do "])
def test_forms_are_counted_however_they_are_called(call):
    """A comment and a zero are white space, and #46 is F (ISO 32000-1, 7.2.3 and 7.3.5)."""
    document, page = document_with(call)
    form = document.make_stream(b"0 0 m 9 9 l S")
    for _ in range(8):
        form.Type, form.Subtype, form.BBox = Name.XObject, Name.Form, Array([0, 0, 9, 9])
        outer = document.make_stream(call * 12)
        outer.Resources = Dictionary(XObject=Dictionary(F=form))
        form = outer
    form.Type, form.Subtype, form.BBox = Name.XObject, Name.Form, Array([0, 0, 9, 9])
    page.Resources = Dictionary(XObject=Dictionary(F=form))
    assert "more than can be looked through" in refusal(saved(document))


def with_fonts(count, name="Strange{}"):
    document, page = document_with(b"")
    fonts = {
        f"/F{number}": Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name(f"/{name.format(number)}"))
        for number in range(count)
    }
    page.Resources = Dictionary(Font=Dictionary(fonts))
    return saved(document)


@pytest.mark.slow
def test_many_fonts_are_cut_short(tmp_path, capsys):
    """Ten by name, the others as a number, in the report and among the faults."""
    path = tmp_path / "fonts.pdf"
    path.write_bytes(with_fonts(2000))
    assert run(["verify", str(path)]) == 1
    said = capsys.readouterr()
    assert "and 1,990 more" in said.out
    assert "and 1,990 more fonts are not in the file" in said.err
    assert len(said.out.splitlines()) + len(said.err.splitlines()) < 40


def test_a_long_name_of_a_font_is_cut_short():
    """To eighty letters."""
    (name,) = prove(with_fonts(1, "N" * 1000), "long.pdf").fonts
    assert name == "N" * 80 + "…"

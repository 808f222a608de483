"""From measured bars to a printer's scale, and from there to a print that measures true."""

from __future__ import annotations

import io
from itertools import product

import pikepdf
import pypdfium2
import pytest
from file_readers import read_with_pdfium, read_with_pdfplumber
from PIL import Image, ImageFilter

from boardmaker.command_line import run
from boardmaker.inputs import read_setup

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("forked_guard")]

BARS = (180.0, 270.0)  # of the test page on A4 with the default margins, mm
STRETCH = (1.015, 0.988)  # of a printer: what it prints / what it should

SETUP = """\
# my workshop
format: 1
printer:            # the old inkjet
  margins: 6 mm     # it wastes the lower edge
  scale: [1.000, 1.000]   # not yet measured
board: {size: 400 x 300 mm}
"""


@pytest.fixture
def setup(tmp_path):
    return tmp_path / "setup.yaml"


def calibrate(setup, *arguments):
    return run(["calibrate", "--setup", str(setup), *arguments])


def test_two_lengths_become_the_scale(setup):
    """Printed / true, across and along; a new file where there was none."""
    assert calibrate(setup, "--measured", "182.7", "266.76") == 0
    assert read_setup(setup)[0].printer.scale == pytest.approx((1.015, 0.988), abs=1e-5)


def test_the_setup_file_keeps_its_words(setup):
    """Comments, order and everything else stay; the bars are those of its own margins (6 mm: 190 and 280 mm)."""
    setup.write_text(SETUP, encoding="utf-8")
    assert calibrate(setup, "--measured", "188.1", "280") == 0
    assert setup.read_text(encoding="utf-8") == SETUP.replace("[1.000, 1.000]", "[0.99, 1.0]")


@pytest.mark.parametrize("pair", [("18.0cm", "27.0 cm"), ("7.0866 in", "10 63/100 in"), ("180,0", "270,0 mm")])
def test_lengths_may_carry_their_unit(setup, pair):
    """1 in = 25.4 mm (exact); a bare number is in mm; a decimal comma is a decimal point."""
    assert calibrate(setup, "--measured", *pair) == 0
    assert read_setup(setup)[0].printer.scale == pytest.approx((1.0, 1.0), abs=1e-4)


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["--measured", "170", "270"], 1, "your print dialog scaled the page"),
        (["--measured", "180", "284"], 1, "+5.2 % off"),
        (["--measured", "270", "180"], 1, "changed round"),
        (["--measured", "long", "270"], 2, "--measured, across"),
        (["--measured", "180", "10 furlong"], 2, "--measured, along"),
        (["--measured", "180", "nan"], 2, "not a number"),
        (["--measured", "0", "270"], 2, "no length"),
        (["--measured", "180", "270", "--dpi", "300"], 2, "--dpi goes with --scan"),
        ([], 2, "either --measured"),
        (["--measured", "180", "270", "--scan", "page.png"], 2, "either --measured"),
    ],
)
def test_what_cannot_be_is_refused(setup, capsys, arguments, code, said):
    """With a reason, and nothing is written."""
    assert calibrate(setup, *arguments) == code
    assert said in capsys.readouterr().err
    assert not setup.exists()


def test_a_scaled_print_is_pointed_out(setup, capsys):
    """Both axes off alike: written all the same."""
    assert calibrate(setup, "--measured", "174.6", "261.9") == 0
    assert "more likely a scaled print" in capsys.readouterr().err


def test_a_check_page_measured_by_hand_is_not_taken_for_a_fresh_one(setup, capsys):
    """Its bars are corrected already; who means it says --force."""
    setup.write_text("printer: { scale: [0.98, 1.01] }\nformat: 1\n", encoding="utf-8")
    before = setup.read_bytes()
    assert calibrate(setup, "--measured", "180", "270.1") == 1
    assert "these lengths are right without" in capsys.readouterr().err
    assert setup.read_bytes() == before
    assert calibrate(setup, "--measured", "180", "270", "--force") == 0
    assert read_setup(setup)[0].printer.scale == (1.0, 1.0)


def printed(file, stretch):
    """The file as a printer that stretches puts it on paper: every page's content stretched, the paper as it is."""
    with pikepdf.open(io.BytesIO(file)) as pdf:
        for page in pdf.pages:
            page.contents_add(f"q {stretch[0]} 0 0 {stretch[1]} 0 0 cm".encode(), prepend=True)
            page.contents_add(b"Q")
        out = io.BytesIO()
        pdf.save(out)
        return out.getvalue(), len(pdf.pages)


def scanned(path, stretch, turn_deg, dpi=150):
    """A picture of the first page of a PDF as such a printer prints it, laid askew on a scanner with a white lid.

    Also what the page measures there: PDFium draws it on whole pixels and stretches it a little for that.
    """
    paper, _ = printed(path.read_bytes(), stretch)
    page = pypdfium2.PdfDocument(paper)[0]
    picture = page.render(scale=dpi / 72, grayscale=True).to_pil()
    drawn = [a / (b / 72 * dpi) for a, b in zip(picture.size, page.get_size(), strict=True)]
    bed = Image.new("L", (picture.width + 120, picture.height + 120), 250)
    bed.paste(picture, (50, 40))
    bed = bed.rotate(turn_deg, Image.Resampling.BICUBIC, expand=True, fillcolor=250)
    target = path.with_suffix(".png")
    bed.filter(ImageFilter.GaussianBlur(0.8)).save(target, dpi=(dpi, dpi))
    return target, [one * other for one, other in zip(stretch, drawn, strict=True)]


@pytest.mark.parametrize(("paper", "turn"), [("A4", 1.5), ("letter", -91.0), ("A5", 178.5), ("A3", 0.0)])
def test_a_scan_of_the_page_is_measured(tmp_path, setup, paper, turn):
    """The scale within 0.0002 of the printer's, however the page lay on the glass."""
    setup.write_text(f"format: 1\npaper: {paper}\n", encoding="utf-8")
    assert run(["testpage", "--setup", str(setup), "--quiet", "--out", str(tmp_path)]) == 0
    picture, expected = scanned(tmp_path / "testpage.pdf", STRETCH, turn)
    assert calibrate(setup, "--scan", str(picture)) == 0
    assert read_setup(setup)[0].printer.scale == pytest.approx(expected, abs=2e-4)


@pytest.mark.parametrize(("stretch", "code", "said"), [(STRETCH, 0, "holds"), ((1.0, 1.0), 1, "does not suit")])
def test_a_scan_of_the_check_page_only_tells_whether_it_holds(tmp_path, setup, capsys, stretch, code, said):
    """Its bars are corrected already: nothing is written, whatever it shows."""
    setup.write_text("format: 1\nprinter: { scale: [1.015, 0.988] }\n", encoding="utf-8")
    before = setup.read_bytes()
    assert run(["testpage", "--check", "--setup", str(setup), "--quiet", "--out", str(tmp_path)]) == 0
    picture, _ = scanned(tmp_path / "testpage.pdf", stretch, 0.7)
    assert calibrate(setup, "--scan", str(picture)) == code
    captured = capsys.readouterr()
    assert said in captured.out + captured.err
    assert setup.read_bytes() == before


def test_a_scan_that_is_none_is_refused(tmp_path, setup, capsys):
    """With one line that says so; no setup file is made."""
    picture = tmp_path / "page.png"
    picture.write_bytes(b"no picture")
    assert calibrate(setup, "--scan", str(picture)) == 1
    assert "page.png is not a picture" in capsys.readouterr().err
    for dpi in ("nan", "1e300", "1e-300", "-300"):
        assert calibrate(setup, "--scan", str(picture), "--dpi", dpi) == 2
    assert not setup.exists()


def bars_of(read, file, page, lengths):
    """Per axis: how far off the nearest line is from the length that a bar there should have, mm."""
    found = read(file, page).lines
    across = [dx for dx, dy in found if dy < 1e-3]
    along = [dy for dx, dy in found if dx < 1e-3]
    return [min(abs(one - length) for one in axis) for axis, length in zip((across, along), lengths, strict=True)]


@pytest.mark.parametrize(
    ("command", "name", "lengths"),
    [
        (["testpage", "--check"], "testpage.pdf", BARS),
        (["torque"], "torque.pdf", (100.0, 100.0)),
        (
            ["board", "--effort", "quick", "--scale", "0.15", "--arrange", "0", "--board", "300 x 200 mm"],
            "sheets.pdf",
            (100.0, 100.0),
        ),
    ],
)
def test_a_calibrated_print_measures_true(tmp_path, setup, command, name, lengths):
    """True to size on a printer that stretches by 1.5 % across and shrinks by 1.2 %: 100 mm +- 0.05 on every page."""
    measured = [f"{length * stretch:.3f}" for length, stretch in zip(BARS, STRETCH, strict=True)]
    assert calibrate(setup, "--quiet", "--measured", *measured) == 0
    out = tmp_path / "out"
    bike = [] if command[0] == "testpage" else [str(tmp_path / "bike.yaml")]
    (tmp_path / "bike.yaml").write_text(BIKE, encoding="utf-8")
    assert run([command[0], *bike, *command[1:], "--quiet", "--setup", str(setup), "--out", str(out)]) == 0
    file = (out / name).read_bytes()
    paper, pages = printed(file, STRETCH)
    for page, read in product(range(pages), (read_with_pdfplumber, read_with_pdfium)):
        assert max(bars_of(read, paper, page, lengths)) < 0.05
        assert max(bars_of(read, file, page, lengths)) > 0.5, "without that printer it must not measure true"


BIKE = """\
format: 1
bike: { name: Test bike }
fasteners:
  A: { kind: screw, thread: M6, length: 16, torque: 6 N·m }
panels:
  cover: { name: Cover, side: left, outline: [[0, 0], [400, 0], [400, 300], [0, 300]],
           holes: [ { at: [20, 20], fastener: A }, { at: [380, 280], fastener: A } ] }
torques:
  plug: { what: Sump plug, torque: 25 N·m }
"""


def test_a_share_has_a_minus_and_a_blank(tmp_path, capsys):
    """As it is printed elsewhere: U+2212, as wide as the plus, and a blank before the sign (ISO 80000-1, 7.1.4)."""
    setup = str(tmp_path / "setup.yaml")
    assert run(["calibrate", "--measured", "160", "240", "--setup", setup]) == 1
    said = capsys.readouterr().err
    assert "160 mm is \u221211.1 % off" in said
    assert "240 mm is \u221211.1 % off" in said

"""The files of the demo boards, read back with other people's engines and held against board.json."""

from __future__ import annotations

import io
import math
from dataclasses import asdict
from functools import lru_cache

import board_judge as judge
import ezdxf
import numpy as np
import pikepdf
import pypdfium2
import pytest
import resvg_py
from lxml import etree
from PIL import Image
from scipy.ndimage import maximum_filter

from boardmaker.inputs import override_setup
from boardmaker.model import Setup
from boardmaker.render.pdf import render_pdf
from boardmaker.sheets import BoardOnPaper, lay_sheets

pytestmark = pytest.mark.slow

DPI = 150
MM = 25.4 / DPI
SVG = "{http://www.w3.org/2000/svg}"


def board_of(demo, number=0):
    return demo.board_file["boards"][number]


def all_pockets(board):
    return [pocket for item in board["items"] for pocket in item.get("pockets", [])]


def test_every_file_is_there(demo):
    """Sheets, preview, board file, and an SVG and a DXF a board."""
    numbers = range(1, len(demo.board_file["boards"]) + 1)
    drawings = [f"board-{number}.{kind}" for number in numbers for kind in ("svg", "dxf")]
    assert sorted(demo.files) == sorted(["sheets.pdf", "preview.png", "board.json", *drawings])


def test_the_svg_has_the_board_at_true_size_in_named_groups(demo):
    """True to size: in mm, one user unit each; a circle in `holes` for each pocket, at its place and of its size."""
    board = board_of(demo)
    root = etree.fromstring(demo.files["board-1.svg"])
    width, height = board["stock"]
    assert (root.get("width"), root.get("height")) == (f"{width:g}mm", f"{height:g}mm")
    assert [float(v) for v in root.get("viewBox").split()] == pytest.approx([0, 0, width, height])
    assert {"cut", "holes", "print"} <= {group.get("id") for group in root.iter(f"{SVG}g")}
    holes = next(group for group in root.iter(f"{SVG}g") if group.get("id") == "holes")
    found = sorted(
        (float(c.get("cx")), height - float(c.get("cy")), 2 * float(c.get("r"))) for c in holes.iter(f"{SVG}circle")
    )
    expected = sorted((*pocket["at"], pocket["hole_diameter"]) for pocket in all_pockets(board))
    assert np.allclose(found, expected, atol=0.01)


def test_the_dxf_has_one_circle_a_hole_and_the_outline(demo):
    """True to size: in mm, on the layers `holes` and `cut`."""
    board = board_of(demo)
    document = ezdxf.read(io.StringIO(demo.files["board-1.dxf"].decode()))
    assert document.header["$INSUNITS"] == 4
    circles = sorted((e.dxf.center.x, e.dxf.center.y, 2 * e.dxf.radius) for e in document.modelspace().query("CIRCLE"))
    expected = sorted((*pocket["at"], pocket["hole_diameter"]) for pocket in all_pockets(board))
    assert np.allclose(circles, expected, atol=0.01)
    (cut,) = document.modelspace().query("LWPOLYLINE")
    assert np.allclose([point[:2] for point in cut.get_points()], board["outline"], atol=0.01)


def test_the_sheets_embed_their_fonts_and_forbid_scaling(demo):
    """Nothing that a print dialog or another machine could change."""
    with pikepdf.open(io.BytesIO(demo.files["sheets.pdf"])) as pdf:
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
        for page in pdf.pages:
            assert "/UserUnit" not in page
            for font in page.Resources.get("/Font", {}).values():
                inner = font.get("/DescendantFonts", [font])[0]
                assert "/FontFile2" in inner.FontDescriptor


def ink(image):
    return np.asarray(image.convert("L")) < 128


def fat(mask):
    return maximum_filter(mask, 5)


def put_together(pdf, sheets, pixels):
    """A board as its tiles show it: each tile's picture taken from its page, turned back, put at its window."""
    whole = Image.new("L", pixels, 255)
    document = pypdfium2.PdfDocument(pdf)
    for sheet in sheets:
        page = document[sheet["page"] - 1].render(scale=DPI / 72, grayscale=True).to_pil()
        x0, y0, x1, y1 = sheet["on_page"]
        box = (x0 / MM, page.height - y1 / MM, x1 / MM, page.height - y0 / MM)
        picture = page.crop([round(v) for v in box]).rotate(-sheet["turn"], expand=True)
        left, top = sheet["window"][0] / MM, pixels[1] - sheet["window"][3] / MM
        whole.paste(picture, (round(left), round(top)))
    return ink(whole)


@lru_cache(maxsize=3)  # of every demo, for all papers
def as_drawn(svg, pixels):
    """The board as the SVG shows it, by another renderer, and the same made fat."""
    image = resvg_py.svg_to_bytes(
        svg_string=svg.decode(), dpi=DPI, background="white", width=pixels[0], height=pixels[1]
    )
    drawn = ink(Image.open(io.BytesIO(bytes(image))))
    return drawn, fat(drawn)


# PDFium puts letters that lie at whole pixels, each by itself: that much of the ink of a scooter's board is elsewhere.
ROUNDED_TYPE = 0.002


def differing_share(pdf, sheets, svg, size):
    """Ink that one picture has and the other lacks, beyond two pixels (0.34 mm), as a share of all ink."""
    pixels = (round(size[0] / MM), round(size[1] / MM))
    tiles, (drawn, fat_drawn) = put_together(pdf, sheets, pixels), as_drawn(svg, pixels)
    edge = 3  # the outline's outer half may fall off the picture
    inner = (slice(edge, -edge), slice(edge, -edge))
    only = (tiles & ~fat_drawn)[inner].sum() + (drawn & ~fat(tiles))[inner].sum()
    return only / drawn.sum()


def board_sheets(demo, number):
    return [sheet for sheet in demo.board_file["sheets"] if sheet["board"] == number]


def test_tiles_put_together_are_the_board(demo):
    """No gap on paper: ink that differs is under 0.2 %."""
    for number, board in enumerate(demo.board_file["boards"], 1):
        svg, sheets = demo.files[f"board-{number}.svg"], board_sheets(demo, number)
        assert differing_share(demo.files["sheets.pdf"], sheets, svg, board["stock"]) < ROUNDED_TYPE


@pytest.mark.parametrize("paper", ["A3", "A5", "letter", "legal", "tabloid", "13 x 19 in", "roll of 610 mm"])
def test_tiles_of_every_paper_put_together_are_the_board(scooter, paper):
    """The same for the papers that the demos are not printed on; a roll has one tile."""
    setup = override_setup(Setup(), board=None, case=None, paper=paper)
    (board,) = scooter.built.boards
    on_paper = BoardOnPaper(board.drawing, board.shape.outline, board.placed)
    sheets = lay_sheets([on_paper], scooter.work, scooter.built.scale, setup)
    pages = [sheets.pages[tile.page - 1] for tile in sheets.tiles]
    tiles = [{**asdict(tile), "page": number} for number, tile in enumerate(sheets.tiles, 1)]
    pdf = render_pdf(pages, title="tiles")
    assert differing_share(pdf, tiles, scooter.files["board-1.svg"], board.shape.stock) < ROUNDED_TYPE


def test_the_comparison_finds_a_tile_in_the_wrong_place(scooter):
    """One window off by 1 mm is seen."""
    sheets = [dict(sheet) for sheet in board_sheets(scooter, 1)]
    x0, y0, x1, y1 = sheets[0]["window"]
    sheets[0]["window"] = [x0 + 1.0, y0, x1 + 1.0, y1]
    size = board_of(scooter)["stock"]
    assert differing_share(scooter.files["sheets.pdf"], sheets, scooter.files["board-1.svg"], size) > 2 * ROUNDED_TYPE


def test_heads_and_silhouettes_are_true_to_size(demo):
    """True to size, as far as the board file says: heads as in the bike file; the screw key shows every kind."""
    heads = {fastener.key: fastener.head.diameter for fastener in demo.work.bike.fasteners}
    for pocket in judge.pockets(demo.board_file):
        assert math.isclose(pocket["head_diameter"], heads[pocket["fastener"]], abs_tol=1e-4)
    key = next(item for board in demo.board_file["boards"] for item in board["items"] if item["kind"] == "screw key")
    texts = {label["text"] for label in key["labels"]}
    assert {freed.fastener.key for freed in demo.work.freed} <= texts

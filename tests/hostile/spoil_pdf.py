"""Finished PDFs spoilt as objects with pikepdf, or as the text that qpdf makes of them."""

from __future__ import annotations

import io
from collections.abc import Sequence
from decimal import Decimal
from random import Random

import pikepdf
from pikepdf import Array, Dictionary, Name, Operator, Pdf, String
from spoil_text import change_lines, change_values, cut, flip, repeat, sprinkle

NUMBERS = (
    0,
    -1,
    1,
    2,
    7,
    45,
    90,
    91,
    360,
    14_400,
    14_401,
    200_000,
    2**31 - 1,
    2**31,
    -(2**31),
    2**62,
    Decimal("0.00001"),
    Decimal("1e30"),
)
WORDS = (
    "/None",
    "/X",
    "/Page",
    "/Pages",
    "/Form",
    "/Image",
    "/DeviceN",
    "/" + "N" * 3000,
    "/#1b#5b31m",
    "/Type3",
    "/Type0",
)
STREAMS = (
    b"", b"q " * 5000, b"Q " * 5000, b"/F Do " * 3000, b"BT /F1 12 Tf (x) Tj " * 3000,
    b"BI /W 9 /H 9 ID \x00 EI " * 200,
    b"1e308 0 0 1e308 0 0 cm 0 0 m 9 9 l S", b"0 0 m " + b"9 9 l " * 50_000 + b"S", b"[" * 3000, b"<<" * 3000,
    b"(" * 3000,
    b"/A" * 100_000, b"%" * 100_000, b"0 0 0 0 0 0 cm 0 0 m 9 9 l S", b"99999999999999999999 w 0 0 m 9 9 l S",
    b"[1e-9] 0 d 0 0 m 99999 99999 l S", b"nan inf m 9 9 l S", b"/A % \n" * 20_000,
)  # fmt: skip


def spoil_objects(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """One to four objects changed; of what qpdf will not save, a cut copy."""
    try:
        with pikepdf.open(io.BytesIO(content)) as document:
            for _ in range(dice.choice((1, 1, 2, 4))):
                dice.choice(CHANGES)(document, dice)
            written = io.BytesIO()
            document.save(written, static_id=True, qdf=dice.random() < 0.2, fix_metadata_version=False)
        return written.getvalue()
    except (pikepdf.PdfError, RuntimeError, ValueError, TypeError, NotImplementedError, KeyError, AttributeError):
        return cut(content, dice, ())


def spoil_words(content: bytes, dice: Random, _others: Sequence[bytes]) -> bytes:
    """The file unpacked into readable text, and that spoilt: lengths and places of objects are wrong then, too."""
    with pikepdf.open(io.BytesIO(content)) as document:
        written = io.BytesIO()
        document.save(written, static_id=True, qdf=True)
    text = written.getvalue().decode("latin-1")
    spoil = dice.choice((change_lines, change_values, change_values, repeat, sprinkle, flip))
    made = spoil(text.encode("utf-8"), dice, ())
    return made.decode("utf-8", "replace").encode("latin-1", "replace")


def _value(document: Pdf, dice: Random) -> object:
    number = dice.choice(NUMBERS)
    anything = dice.choice(document.objects)
    return dice.choice(
        (
            number, Name(dice.choice(WORDS)), String("x" * dice.choice((0, 9, 5000))), String("\x1b[31m\u202e"), None,
            Array([]), Array([number] * dice.choice((3, 4, 4000))), Dictionary(), Dictionary(A=number), True,
            anything,
            document.make_stream(dice.choice(STREAMS)),
        )
    )  # fmt: skip


def _dictionaries(document: Pdf) -> list[object]:
    return [one for one in document.objects if isinstance(one, pikepdf.Dictionary | pikepdf.Stream)]


def _set_key(document: Pdf, dice: Random) -> None:
    holder = dice.choice(_dictionaries(document))
    keys = [*holder.keys()] or ["/Type"]
    key = dice.choice(keys)
    if key == "/Length":
        return
    value = _value(document, dice)
    if value is None:
        del holder[key]
    else:
        holder[key] = value


def _set_page_key(document: Pdf, dice: Random) -> None:
    page = dice.choice(document.pages)
    boxes = ("/MediaBox", "/CropBox", "/TrimBox", "/BleedBox", "/ArtBox")
    key = dice.choice(
        (*boxes, "/Rotate", "/UserUnit", "/Resources", "/Contents", "/Annots", "/Parent", "/Type", "/Group")
    )
    if dice.random() < 0.2:
        if key in page.obj:
            del page.obj[key]
        return
    corners = Array([dice.choice(NUMBERS) for _ in range(dice.choice((4, 4, 4, 3, 5)))])
    value = dice.choice((_value(document, dice), corners if key in boxes else dice.choice(NUMBERS)))
    page.obj[key] = value if value is not None else 0


def _circle(document: Pdf, dice: Random) -> None:
    """The tree of pages runs in a circle, or a page stands in it many times."""
    tree = document.Root.Pages
    kids = [*tree.Kids]
    tree.Kids = Array(kids + [dice.choice((tree, document.Root, *kids))] * dice.choice((1, 3, 400, 3000)))


def _nest(document: Pdf, dice: Random) -> None:
    """Forms in forms, masks in masks, patterns in patterns, or one that draws itself."""
    page = dice.choice(document.pages)
    calls = dice.choice(
        (b"/F Do ", b"/F% \n Do ", b"/#46 Do ", b"/G gs 0 0 99 99 re f ", b"/Pattern cs /P scn 0 0 99 99 re f ")
    )
    times, resources = dice.choice((1, 2, 12, 200)), Dictionary()
    form = None
    for _ in range(dice.choice((1, 3, 12, 40))):
        form = document.make_stream(
            calls * times, Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 600, 900]), Resources=resources,
            Group=Dictionary(S=Name.Transparency, CS=Name.DeviceGray),
        )  # fmt: skip
        mask = Dictionary(SMask=Dictionary(S=Name.Luminosity, G=form))
        tile = document.make_stream(
            calls * times, PatternType=1, PaintType=1, TilingType=1, BBox=Array([0, 0, 9, 9]), Resources=resources,
            XStep=dice.choice(NUMBERS), YStep=dice.choice(NUMBERS),
        )  # fmt: skip
        resources = Dictionary(XObject=Dictionary(F=form), ExtGState=Dictionary(G=mask), Pattern=Dictionary(P=tile))
    if dice.random() < 0.3:
        form.Resources = resources
    page.obj.Resources, page.obj.Contents = resources, document.make_stream(calls * times)


def _spoil_stream(document: Pdf, dice: Random) -> None:
    streams = [one for one in document.objects if isinstance(one, pikepdf.Stream)]
    if not streams:
        return
    stream = dice.choice(streams)
    filters = dice.choice(
        (
            None,
            Name.FlateDecode,
            Name.LZWDecode,
            Name.ASCII85Decode,
            Name.RunLengthDecode,
            Name.DCTDecode,
            Name.JPXDecode,
            Name.CCITTFaxDecode,
            Name.JBIG2Decode,
            Name.Crypt,
            Name("/X"),
        )
    )
    raw = dice.choice((stream.read_raw_bytes(), dice.choice(STREAMS), flip(stream.read_raw_bytes(), dice, ())))
    if filters is None:
        stream.write(raw)
    else:
        stream.write(raw, filter=Array([filters] * dice.choice((1, 1, 2, 50))))


def _spoil_content(document: Pdf, dice: Random) -> None:
    """Operators lost, doubled, and operands of all sizes."""
    page = dice.choice(document.pages)
    told = [(one.operands, one.operator) for one in pikepdf.parse_content_stream(page) if hasattr(one, "operands")]
    for _ in range(dice.choice((1, 3, 30))):
        if not told:
            return
        at = dice.randrange(len(told))
        operands, operator = told[at]
        odd = [dice.choice(NUMBERS) for _ in operands]
        told[at : at + 1] = dice.choice(
            (
                [],
                [told[at]] * 50,
                [(odd, operator)],
                [(odd[:1], operator)],
                [(odd, Operator("cm"))],
                [([], Operator("Q"))],
            )
        )
    page.obj.Contents = document.make_stream(pikepdf.unparse_content_stream(told))


def _spoil_font(document: Pdf, dice: Random) -> None:
    """The program of an embedded font: other bytes, none, or another kind."""
    for one in _dictionaries(document):
        for key in ("/FontFile2", "/FontFile", "/FontFile3"):
            if key in one and isinstance(one[key], pikepdf.Stream):
                data = one[key].read_bytes()
                one[key].write(
                    dice.choice(
                        (b"", flip(data, dice, ()), data[: len(data) // 2], b"\0" * 5000, repeat(data, dice, ()))
                    )
                )


CHANGES = (
    _set_key, _set_key, _set_page_key, _set_page_key, _circle, _nest, _nest, _spoil_stream, _spoil_content,
    _spoil_font,
)  # fmt: skip

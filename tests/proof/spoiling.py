"""Good files spoilt on purpose with pikepdf, as print dialogs, other programs and careless hands do it."""

from __future__ import annotations

import io

import pikepdf
from pikepdf import Array, Dictionary, Name

POINT = 72 / 25.4


def spoil(file, change, **saving):
    """Return the file after `change` was done to it as an open document."""
    with pikepdf.open(io.BytesIO(file)) as document:
        change(document)
        written = io.BytesIO()
        document.save(written, **saving)
    return written.getvalue()


def each_page(change, *numbers):
    """Do `change(document, page)` to the pages of these numbers, or to all."""

    def change_all(document):
        for number, page in enumerate(document.pages, start=1):
            if not numbers or number in numbers:
                change(document, page)

    return change_all


def drawn_through(a, b, c, d, e, f):
    """What is on a page, through a matrix; the page stays as it is."""

    def change(document, page):
        page.contents_add(f"q {a} {b} {c} {d} {e} {f} cm\n".encode(), prepend=True)
        page.contents_add(b"\nQ")

    return change


def shrunk_with_its_page(share):
    """Content and box together, as a file printed into a file comes out."""

    def change(document, page):
        drawn_through(share, 0, 0, share, 0, 0)(document, page)
        page.MediaBox = Array([float(value) * share for value in page.MediaBox])

    return change


def centred(share):
    """`Fit to page`: shrunk about the middle of the page."""

    def change(document, page):
        _, _, width, height = (float(value) for value in page.MediaBox)
        drawn_through(share, 0, 0, share, width * (1 - share) / 2, height * (1 - share) / 2)(document, page)

    return change


def wrapped(inner, outer, times=1):
    """The content as a form with its own matrix, drawn through another one, `times` deep."""

    def change(document, page):
        for _ in range(times):
            form = document.make_stream(
                b"".join(_contents(page)),
                Type=Name.XObject, Subtype=Name.Form, Matrix=Array(inner), BBox=page.MediaBox, Resources=page.Resources,
            )  # fmt: skip
            page.Resources = Dictionary(XObject=Dictionary(Inside=form))
            page.Contents = document.make_stream(f"q {' '.join(map(str, outer))} cm /Inside Do Q".encode())

    return change


def _contents(page):
    parts = page.Contents if isinstance(page.Contents, Array) else [page.Contents]
    return [part.read_bytes() + b"\n" for part in parts]


def set_key(name, value):
    """A key of the page."""

    def change(document, page):
        page[name] = value

    return change


def added(content):
    """Something drawn over the page, in points."""

    def change(document, page):
        page.contents_add(b"q\n", prepend=True)
        page.contents_add(b"\nQ q\n" + content + b"\nQ")

    return change


def switched_off(document, page):
    """The page's content in a layer that is off, as an editor hides it."""
    layer = document.make_indirect(Dictionary(Type=Name.OCG, Name="layer"))
    off = Dictionary(OCGs=Array([layer]), D=Dictionary(OFF=Array([layer]), Order=Array([layer])))
    document.Root.OCProperties = off
    page.Resources.Properties = Dictionary(Layer=layer)
    page.contents_add(b"/OC /Layer BDC\n", prepend=True)
    page.contents_add(b"\nEMC")


def left_out_of_print(document, page):
    """The same, but only when it is printed."""
    switched_off(document, page)
    layer = document.Root.OCProperties.OCGs[0]
    layer.Usage = Dictionary(Print=Dictionary(PrintState=Name.OFF), View=Dictionary(ViewState=Name.ON))
    shown = Dictionary(Event=Name.Print, Category=Array([Name.Print]), OCGs=Array([layer]))
    document.Root.OCProperties.D = Dictionary(ON=Array([layer]), AS=Array([shown]))


def in_helvetica(document, page):
    """A remark in a font that every reader is trusted to have, inside a form."""
    font = document.make_indirect(Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica))
    form = document.make_stream(
        b"BT /H 9 Tf 60 300 Td (seen) Tj ET",
        Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 595, 842]),
        Resources=Dictionary(Font=Dictionary(H=font)),
    )  # fmt: skip
    page.Resources.XObject = Dictionary(Remark=form)
    page.contents_add(b"q /Remark Do Q")


def raw_pdf(*objects):
    """A PDF from the text of its objects 1, 2, …; object 1 is the catalogue."""
    content, places = b"%PDF-1.4\n", []
    for number, text in enumerate(objects, start=1):
        places.append(len(content))
        content += f"{number} 0 obj {text} endobj\n".encode()
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    head = b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    tail = b"trailer <</Size %d /Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, len(content))
    return content + head + table + tail


def form_bomb(levels, drawn):
    """A form that draws a form `drawn` times, and so on down."""
    document = pikepdf.new()
    document.add_blank_page(page_size=(595, 842))
    form = None
    for _ in range(levels):
        inside = Dictionary(XObject=Dictionary(F=form)) if form is not None else Dictionary()
        form = document.make_stream(
            b"/F Do " * drawn if inside else b"0 0 m 9 9 l S",
            Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9]), Resources=inside,
        )  # fmt: skip
    return _drawing(document, form)


def form_in_a_circle():
    """A form that draws itself, twice."""
    document = pikepdf.new()
    document.add_blank_page(page_size=(595, 842))
    form = document.make_stream(
        b"/F Do /F Do", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9]), Resources=Dictionary()
    )
    form.Resources.XObject = Dictionary(F=form)
    return _drawing(document, form)


def _drawing(document, form):
    document.pages[0].Resources = Dictionary(XObject=Dictionary(F=form))
    document.pages[0].Contents = document.make_stream(b"/F Do")
    written = io.BytesIO()
    document.save(written)
    return written.getvalue()

"""The tally and the shopping list as CSV files, the lists to fill in.

`tally.csv`: `scope` is `panel` (one kind of fastener in one kind of hole of one panel), `all` (the kind over all
panels), or `torque row` (what a row of the torque strip says is to be renewed). `key` is the fastener's key, or the
torque row's; `item` is `fastener` or what is kept with it. `holes` are hole ids with a space between them. `spares` are
to be carried beside the count, `renew` says what is not to be used again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from boardmaker.model import Fastener
from boardmaker.service.counting.shopping import Purchase
from boardmaker.service.counting.tally import Kind, RenewalCount, Share, Tally
from boardmaker.text.csv_text import write_csv
from boardmaker.wording.fasteners import drive_text, fastener_words, head_words, short_words
from boardmaker.wording.numbers import decimal, with_mm

TALLY_COLUMNS = (
    "scope", "panel", "panel_name", "key", "item", "what", "designation", "into", "holes", "count", "spares", "renew",
    "reason",
)  # fmt: skip
FASTENER = "fastener"
Cells = tuple[str | int, ...]


def tally_csv(tally: Tally) -> bytes:
    """Return `tally.csv`: the panels in removal order, then the kinds, then what the torque rows renew."""
    rows = [row for share in tally.shares for row in _share_rows(share)]
    rows += [row for kind in tally.kinds for row in _kind_rows(kind)]
    return write_csv(TALLY_COLUMNS, [*rows, *(_renewal_row(one) for one in tally.renewals)])


def _share_rows(share: Share) -> Iterator[Cells]:
    fastener, count = share.fastener, len(share.freed)
    start = ("panel", share.panel.key, share.panel.name, fastener.key)
    holes = " ".join(one.hole_key for one in share.freed)
    yield *start, FASTENER, *_described(fastener), share.into, holes, count, "", renew_words(fastener.renew), ""
    for item in dict.fromkeys(fastener.with_it):
        yield *start, item, "", "", share.into, holes, count * fastener.with_it.count(item), "", "", ""


def _kind_rows(kind: Kind) -> Iterator[Cells]:
    fastener, spares = kind.fastener, kind.spares
    start = ("all", "", "", fastener.key)
    told = _described(fastener)
    yield *start, FASTENER, *told, "", "", kind.count, spares.count, renew_words(fastener.renew), spares.reason
    for one in kind.companions:
        yield *start, one.item, "", "", "", "", one.count, one.spares, "", "kept with the fastener"


def _renewal_row(one: RenewalCount) -> Cells:
    reason = "at least: the file does not say how many" if one.at_least else ""
    start = ("torque row", "", "", one.row.key)
    return *start, one.item, one.row.what, "", one.row.where_on_bike, "", one.count, "", "renew", reason


SHOPPING_COLUMNS = (
    "count", "item", "what", "designation", "thread", "length_mm", "head", "drive", "class", "key", "reason", "holes",
)  # fmt: skip


def shopping_csv(purchases: Iterable[Purchase]) -> bytes:
    """Return `shopping.csv`: a line for each thing to buy, so that a shop understands it."""
    return write_csv(SHOPPING_COLUMNS, [_purchase_row(one) for one in purchases])


def _purchase_row(one: Purchase) -> Cells:
    holes = " ".join(freed.hole_key for freed in one.holes)
    if one.fastener is None:
        key, item = (one.renewal.row.key, one.renewal.item) if one.renewal else ("", "")
        return one.count, item, purchase_words(one), *_shop_cells(one), key, one.reason, holes
    return one.count, one.item or FASTENER, purchase_words(one), *_shop_cells(one), one.fastener.key, one.reason, holes


def _shop_cells(one: Purchase) -> tuple[str, ...]:
    """Designation, thread, length, head, drive, class; nothing of those for what is kept with a fastener."""
    fastener = one.fastener
    if fastener is None or one.item:
        return ("",) * 6
    thread = fastener.thread.designation if fastener.thread else ""
    length = "" if fastener.length_assumed else decimal(fastener.length)
    return fastener.part, thread, length, head_words(fastener), drive_text(fastener.drive), fastener.property_class


def purchase_words(one: Purchase) -> str:
    """Return what to ask for over the counter."""
    if one.fastener is None:
        return _row_words(one.renewal) if one.renewal else ""
    if one.item:
        own = one.fastener
        size = own.thread.designation if own.thread else with_mm(own.diameter, own.hole_written)
        return f"{one.item} as kept with {one.fastener.key} ({size})"
    return fastener_words(one.fastener)


def _row_words(one: RenewalCount) -> str:
    return one.item if one.item == one.row.what else f"{one.item} ({one.row.what})"


BAG_COLUMNS = ("key", "designation", "what", "needed", "count")
AUDIT_COLUMNS = ("hole", "on_the_board", "panel", "what_belongs_there", "found")


def bag_template(tally: Tally) -> bytes:
    """Return `bag.csv` to fill in: the column `count` is empty."""
    rows: list[Cells] = []
    for kind in tally.kinds:
        fastener = kind.fastener
        rows.append((fastener.key, fastener.part, short_words(fastener), kind.count, ""))
        rows += [(f"{fastener.key} + {one.item}", "", f"{one.item} with it", one.count, "") for one in kind.companions]
    return write_csv(BAG_COLUMNS, rows)


def audit_template(tally: Tally) -> bytes:
    """Return `audit.csv` to fill in: the column `found` is empty; its last line stands for all other holes."""
    rows = [
        (
            one.hole_key,
            f"{one.panel.tag} {one.number}",
            one.panel.name,
            f"{one.fastener.key}: {short_words(one.fastener)}",
            "",
        )
        for one in tally.work.freed
    ]
    note = "write ok under found if every hole that you leave empty was ok"
    return write_csv(AUDIT_COLUMNS, [*rows, ("others", "", "", note, "")])


def _described(fastener: Fastener) -> tuple[str, str]:
    return fastener_words(fastener), fastener.part


def renew_words(renew: str) -> str:
    """Return `renew` of the bike file as it is printed."""
    return {"": "", "yes": "renew"}.get(renew, f"renew {renew}")


def renewal_words(one: RenewalCount) -> str:
    """Return what a torque row renews: `at least 1 gasket (Valve cover)`, `all 6 of: Cylinder head`."""
    if one.item == one.row.what:
        return f"all {one.count} of: {one.item}" if one.count > 1 else one.item
    return f"{'at least ' if one.at_least else ''}{one.count} {one.item} ({one.row.what})"

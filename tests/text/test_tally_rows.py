"""`tally.csv`, the templates and the owner's note: sums that must agree, and names that must do no harm."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter

import pytest
from bikes import bike_text, random_bike_text
from hypothesis import given, settings
from hypothesis import strategies as some

from boardmaker.inputs import read_audit, read_bag, read_bike
from boardmaker.model import Audit, AuditFind
from boardmaker.problems import ProblemsFound
from boardmaker.service import plan_work
from boardmaker.service.counting.audit import check_audit
from boardmaker.service.counting.tally import count_work
from boardmaker.text.owner_note import owner_note
from boardmaker.text.tally_rows import TALLY_COLUMNS, audit_template, bag_template, tally_csv

NAMES = ("Cover, left", 'The "good" one', "=1+1", "Höcker; rear", "@home", "-")


def rows(content):
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"), newline="")))


def filled(content, column, values):
    """A template with its empty column filled in, as a spreadsheet writes it back: with semicolons."""
    text = io.StringIO(newline="")
    table = rows(content)
    writer = csv.DictWriter(text, table[0].keys(), delimiter=";", quoting=csv.QUOTE_ALL)
    writer.writeheader()
    writer.writerows(row | {column: value} for row, value in zip(table, values, strict=True))
    return b"\xef\xbb\xbf" + text.getvalue().encode()


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(seed=some.integers(0, 10_000), panels=some.integers(1, 8))
def test_sums_agree_and_templates_are_read_back(tmp_path_factory, seed, panels):
    """One judgement, one name: panels add up to the whole, a full bag lacks nothing, an audit is complete."""
    folder = tmp_path_factory.mktemp("tally")
    (folder / "bike.yaml").write_text(random_bike_text(seed, panels), encoding="utf-8")
    work = plan_work(read_bike(folder / "bike.yaml")[0])
    tally = count_work(work)
    table = rows(tally_csv(tally))
    of_panels, of_all = Counter(), Counter()
    for row in table:
        assert tuple(row) == TALLY_COLUMNS
        (of_panels if row["scope"] == "panel" else of_all)[row["key"], row["item"]] += int(row["count"])
    assert of_panels == of_all
    assert of_all.total() == len(work.freed)
    listed = [hole for row in table for hole in row["holes"].split() if row["item"] == "fastener"]
    assert Counter(listed) == Counter(freed.hole_key for freed in work.freed)
    bag = folder / "bag.csv"
    empty = bag_template(tally)
    bag.write_bytes(filled(empty, "count", [row["needed"] for row in rows(empty)]))
    found = read_bag(bag, work.bike)
    assert {one.fastener: one.count for one in found.counts} == {k.fastener.key: k.count for k in tally.kinds}
    audit = folder / "audit.csv"
    empty = audit_template(tally)
    audit.write_bytes(filled(empty, "found", ["" for _ in work.freed] + ["ok"]))
    belongs = {freed.hole_key: freed.fastener.key for freed in work.freed}
    assert {find.hole_key for find in read_audit(audit, work.bike, belongs).finds} == set(belongs)


@pytest.mark.parametrize("name", NAMES)
def test_no_cell_of_a_template_is_a_formula_and_all_are_read_back(bike_from, tmp_path, name):
    """Panel names and keys with commas, quotes, semicolons, formula signs."""
    quoted = name.replace("'", "''")
    fastener = f"  '{quoted}': {{ kind: screw, thread: M6, length: 16, with_it: [washer] }}\npanels:"
    panel = f"  lid: {{ name: '{quoted}', side: left, holes: [ {{ at: [0, 0], fastener: '{quoted}' }} ] }}"
    work = plan_work(bike_from(bike_text(panel).replace("panels:", fastener, 1)))
    tally = count_work(work)
    for content in (tally_csv(tally), bag_template(tally), audit_template(tally)):
        for row in rows(content):
            assert not any(cell.startswith(("=", "+", "-", "@")) for cell in row.values())
    path = tmp_path / "bag.csv"
    path.write_bytes(filled(bag_template(tally), "count", ["1", "2"]))
    bag = read_bag(path, work.bike)
    assert (bag.count_of(name), bag.count_of(name, "washer")) == (1, 2)


def test_the_note_has_only_its_own_marks(bike_from):
    """Names and cautions of a bike file make no heading, list, link or table, wherever a line is broken."""
    caution = " ".join(["- 12. words"] * 40)
    panel = "  lid: { name: '# [Lid](x) *a* <b>', side: left, holes: [ { at: [0, 0], fastener: A } ] }"
    text = bike_text(panel).replace("bike: {", f"bike: {{ cautions: ['{caution}'],", 1)
    work = plan_work(bike_from(text))
    check = check_audit(work, Audit((AuditFind("lid/1", "missing"),)))
    note = owner_note(work, check, (), lambda fastener: fastener.key, ()).decode()
    assert note.count("\n- ") == 1  # the missing screw
    assert not re.search(r"^(\d+[.)]|[+*>])\s", note, re.MULTILINE)
    assert r"\# \[Lid\](x) \*a\* \<b\>" in " ".join(note.split())


def test_a_fastener_named_like_a_word_of_the_audit_is_refused(bike_from, tmp_path):
    """Else a wrong screw could pass for a right one."""
    panel = "  lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: OK } ] }"
    fastener = "  OK: { kind: screw, thread: M6, length: 16 }\npanels:"
    bike = bike_from(bike_text(panel).replace("panels:", fastener, 1))
    (tmp_path / "audit.csv").write_text("hole,found\nlid/1,ok\n")
    with pytest.raises(ProblemsFound, match="cannot tell the fastener OK"):
        read_audit(tmp_path / "audit.csv", bike, {"lid/1": "OK"})


@pytest.mark.parametrize("key", ["=A", "\uff1dA", "A;=1", "A; \uff0b1", "'=A", "''-A", "@A", "A;'=1", "-A"])
def test_a_key_that_looks_like_a_formula_is_read_back(tmp_path, key):
    """The template guards it with an apostrophe, and nothing else is taken away."""
    text = (
        "format: 1\nbike: { name: Test bike }\n"
        f'fasteners: {{ "{key}": {{ thread: M6 }} }}\n'
        f'panels: {{ "p{key}": {{ name: P, side: left, holes: [ {{ at: [0, 0], fastener: "{key}" }} ] }} }}\n'
    )
    (tmp_path / "bike.yaml").write_text(text, encoding="utf-8")
    work = plan_work(read_bike(tmp_path / "bike.yaml")[0])
    tally = count_work(work)
    (tmp_path / "bag.csv").write_bytes(filled(bag_template(tally), "count", ["1"]))
    assert [one.fastener for one in read_bag(tmp_path / "bag.csv", work.bike).counts] == [key]
    (tmp_path / "audit.csv").write_bytes(filled(audit_template(tally), "found", ["missing", ""]))
    belongs = {freed.hole_key: freed.fastener.key for freed in work.freed}
    assert [one.hole_key for one in read_audit(tmp_path / "audit.csv", work.bike, belongs).finds] == [f"p{key}/1"]

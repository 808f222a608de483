"""Which cautions a plan gives: those that its panels and rows call for, and no others."""

from __future__ import annotations

import pytest
from bikes import bike_text

from boardmaker.service import make_plan, plan_work
from boardmaker.wording import cautions
from boardmaker.wording.dangers import dangers, fluids
from boardmaker.wording.plan.stream import plan_lines
from boardmaker.wording.preparation import ride_checks
from boardmaker.wording.steps import given_name

LID = "  lid: { name: Lid, side: left, holes: [ { at: [0, 0], fastener: A } ] }"
SAID_ALWAYS = [cautions.IGNITION_OFF]


@pytest.fixture
def plan_of(bike_from):
    """Return a function that plans a bike of these panels, jobs and rows."""

    def plan(panels=LID, jobs="", rest=""):
        jobs += "\n  job: { name: Job }" if "jobs: [job]" in rest else ""
        return make_plan(plan_work(bike_from(bike_text(panels, jobs, rest))))

    return plan


def row(what, more=""):
    return f"torques: {{ row: {{ what: {what}, torque: 9 N·m{more}, jobs: [job] }} }}\n"


def lid(fixings="", hole="", more=""):
    holes = f"holes: [ {{ at: [0, 0], fastener: A{hole} }} ]"
    return f"  lid: {{ name: Lid, side: left, fixings: [ {fixings} ], {holes}{more} }}"


def test_a_lid_alone_asks_for_the_key_and_nothing_more(plan_of):
    """No wall of words."""
    assert [*dangers(plan_of())] == SAID_ALWAYS
    assert fluids(plan_of()) == ()


@pytest.mark.parametrize(
    ("panels", "rest", "called"),
    [
        (lid(hole=", behind: fuel tank, room: 20"), "", [cautions.FUEL_NEAR]),
        (lid(hole=", behind: radiator, room: 20"), "", []),
        (lid(more=", note: prop the tank up first"), "", [cautions.FUEL_NEAR]),
        (LID, row("Fuel tank bolt"), [cautions.FUEL_NEAR]),
        (lid("{ kind: hose, note: fuel hose }"), "", [cautions.FUEL_NEAR]),
        (LID, row("Expansion tank"), []),
        (LID, row("Chain adjuster"), [cautions.TURNING_PARTS]),
        (LID, row("Cam chain cover"), []),
        (LID, row("Front axle"), [cautions.BRAKES_AND_STEERING]),
        (LID, row("Bleed nipple"), [cautions.BRAKES_AND_STEERING]),
        (lid(more=", note: airbag below"), "", [cautions.AIRBAGS]),
        (LID, row("Valve cover", ", lubricate: oil the thread"), []),
    ],
)
def test_a_caution_is_called_for_by_words(plan_of, panels, rest, called):
    """Common practice, no source; what a thread is oiled with is no hot oil."""
    told = [text for text in dangers(plan_of(panels, rest=rest)) if not text.startswith(("Gloves", "Hand in"))]
    assert told == [*SAID_ALWAYS, *called]


@pytest.mark.parametrize(
    ("what", "fluid", "caution"),
    [
        ("Sump plug", "oil", cautions.HOT_OIL),
        ("Oil filter", "oil", cautions.HOT_OIL),
        ("Coolant drain", "coolant", cautions.COLD_COOLANT),
        ("Water pump cover", "coolant", cautions.COLD_COOLANT),
        ("Radiator cap", "coolant", cautions.COLD_COOLANT),
        ("Brake fluid reservoir", "brake fluid", cautions.BRAKES_AND_STEERING),
    ],
)
def test_a_fluid_is_known_by_its_row(plan_of, what, fluid, caution):
    """It is hot, it splashes, it is waste, and its level is looked at in the end."""
    plan = plan_of(rest=row(what))
    assert fluids(plan) == (fluid,)
    told = [*dangers(plan)]
    assert caution in told
    assert told[-2:] == [
        "Gloves and eye protection: fluids splash.",
        f"Hand in used {fluid} as your local rules ask: never into a drain, the soil or a bin.",
    ]
    assert f"Levels as the manual has them: {fluid}." in ride_checks(plan)


def test_a_row_of_no_job_is_no_danger(plan_of):
    """It is only looked up, and its section says so; nothing was open that has to be pumped."""
    plan = plan_of(rest=row("Axle and oil plug").replace("[job]", "[]"))
    assert [*dangers(plan)] == SAID_ALWAYS
    assert cautions.BRAKES_FIRM in ride_checks(plan)
    heading, *below = [line.text for line in plan_lines(plan, given_name).service]
    assert heading == "Torques: general"
    assert cautions.FOR_REFERENCE in below


def test_supplies_of_a_job_count_too(plan_of):
    """Two fluids and parts in one sentence."""
    supplies = "[ { what: Engine oil, count: 3 L }, { what: Coolant, count: 2 L }, { what: Filter } ]"
    plan = plan_of(jobs=f"  big: {{ name: Big service, remove: [lid], supplies: {supplies} }}")
    assert [*dangers(plan)][-1].startswith("Hand in used oil, used coolant and old parts as your local rules ask:")


def test_old_parts_alone_go_into_no_drain(plan_of):
    """Nor is that said of them."""
    told = [*dangers(plan_of(rest=row("Valve cover", ", renew: gasket")))]
    assert told[-1] == "Hand in old parts as your local rules ask."


def test_a_connector_asks_for_the_battery_both_ways(plan_of):
    """A hose does not; both are looked at in the end."""
    plug, hose = plan_of(lid("{ kind: connector, note: lamp }")), plan_of(lid("{ kind: hose, note: breather }"))
    assert next(dangers(plug)) == cautions.BATTERY_OFF
    assert next(dangers(hose)) == cautions.IGNITION_OFF
    assert cautions.BATTERY_ON in ride_checks(plug)
    assert cautions.BATTERY_ON not in ride_checks(hose)
    assert cautions.HOSES_AND_WIRES in {*ride_checks(plug)} & {*ride_checks(hose)}
    assert cautions.HOSES_AND_WIRES not in ride_checks(plan_of())


@pytest.mark.parametrize(
    ("panels", "rest", "why"),
    [
        (lid().replace("fastener: A", "fastener: P"), "", "clips jump out"),
        (lid("{ kind: clip }"), "", "clips jump out"),
        (lid("{ kind: hose, note: fuel hose }"), "", "fluids splash"),
        (LID, row("Cam chain tensioner"), "springs jump out"),
        (lid("{ kind: clip }"), row("Spring of the oil valve"), "fluids splash, springs and clips jump out"),
    ],
)
def test_what_jumps_and_splashes_asks_for_gloves(plan_of, panels, rest, why):
    """And says what does."""
    assert f"Gloves and eye protection: {why}." in dangers(plan_of(panels, rest=rest))


def test_the_last_look_tries_throttle_and_steering(plan_of):
    """At both locks; brakes are pumped where they or wheels were open (common practice, no source)."""
    assert cautions.STEERING_FREE in ride_checks(plan_of())
    assert "at both locks the throttle" in cautions.STEERING_FREE
    for what, pumped in (("Brake disc", True), ("Disc bolts", True), ("Clutch disc", False), ("Rear axle", True)):
        checks = [*ride_checks(plan_of(rest=row(what)))]
        assert (cautions.BRAKES_FIRM_PUMPED in checks) == pumped
        assert (cautions.BRAKES_FIRM in checks) != pumped


def test_drips_are_looked_for_where_something_may_drip(plan_of):
    """Where a fluid was out or a hose was off; a lid alone drips nothing."""
    assert cautions.NOTHING_DRIPS not in ride_checks(plan_of())
    for plan in (plan_of(rest=row("Sump plug")), plan_of(lid("{ kind: hose, note: breather }"))):
        assert cautions.NOTHING_DRIPS in ride_checks(plan)


def test_the_last_look_tries_chain_and_wheels_where_they_were_touched(plan_of):
    """By row, job or panel; a cam chain is none (common practice, no source). What may be left in is always asked."""
    assert cautions.NOTHING_LEFT_IN in ride_checks(plan_of())
    jobs = "  chain: { name: Chain service, remove: [lid] }"
    chains = {"Chain adjuster": True, "Cam chain cover": False, "Rear axle": False, "Sump plug": False}
    for what, asked in chains.items():
        assert (cautions.CHAIN_RIGHT in ride_checks(plan_of(rest=row(what)))) == asked
        assert (cautions.WHEELS_FREE in ride_checks(plan_of(rest=row(what)))) == (what == "Rear axle")
    assert cautions.CHAIN_RIGHT in ride_checks(plan_of(jobs=jobs))
    for name, near in (("Hugger", True), ("Front mudguard", True), ("Seat", False)):
        assert (cautions.WHEELS_FREE in ride_checks(plan_of(LID.replace("Lid", name)))) == near


def test_the_manual_stands_under_every_plan(plan_of):
    """After what this work calls for, quieter; what is always true of panels only where some come off."""
    for panels, jobs, rest in ((LID, "", ""), (LID, "  oil: { name: Oil, torques: [row] }", row("Sump plug"))):
        ready = plan_lines(plan_of(panels, jobs, rest), given_name).ready
        told = [(line.text, line.weight) for line in ready if line.kind == "caution"]
        assert told[0] == (cautions.IGNITION_OFF, "plain")
        quiet = [text for text, weight in told if weight == "quiet"]
        stand = f"{cautions.FIRM_STAND} {cautions.COOL_ENOUGH}"
        assert quiet == [cautions.MANUAL_FIRST, stand, cautions.HELD_CAUTION, cautions.PLAN_TRUST]
        assert [weight for _, weight in told] == sorted((weight for _, weight in told), key="plain quiet".index)


def test_date_odometer_and_name_are_asked_for(plan_of):
    """One line, at the end of what is known of the plan, before anything is done."""
    ready = plan_lines(plan_of(), given_name).ready
    (record,) = [line for line in ready if line.kind == "record"]
    assert record.cells == ("Date", "Odometer", "Done by")
    assert ready[ready.index(record) + 1].kind == "heading"

"""Pocket cards: figures worked out by hand, one card a box and train, folds at the middles.

Volts by 7.87 V/mm from -10 V at rest and 4 to 20 mA over the range (common practice); Pt100 by IEC 60751.
"""

import pytest

from specapp.documents.options import Options
from specapp.documents.registry import DOCUMENTS
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.signal_levels import point_signals
from tests.documents.reading import pdf, text_of
from tests.documents.sample import NAMES, description, proposal, proposal_with_hold

CARDS = DOCUMENTS["pocket_cards"]


def levels_of(machine, key):
    """Return (reading, signal, low-side signal) by level of one point."""
    (found,) = [each for each in point_signals(machine) if each.point.key == key]
    return {level.name: (level.value, level.signal, level.signal_low) for level in found.levels}


def near(*expected):
    return tuple(None if each is None else pytest.approx(each, abs=5e-4) for each in expected)


def test_radial_probe_in_volts():
    """0.064 mm at 7.87 V/mm is 0.5037 V; 0.090 mm 0.7083 V; 0.250 mm 1.9675 V."""
    found = levels_of(proposal("contract_example"), "M1/radial/Y")
    assert found["zero"] == near(0, 0, None)
    assert found["alarm"] == near(64, 0.5037, None)
    assert found["trip"] == near(90, 0.7083, None)
    assert found["full scale"] == near(250, 1.9675, None)


def test_axial_probe_in_gap_volts():
    """Looking towards the active side, +0.43 mm opens the gap: -10 - 7.87 * 0.43 = -13.3841 V."""
    found = levels_of(proposal("contract_example"), "BG/axial/A")
    assert found["zero"] == near(0, -10, None)
    assert found["trip"] == near(0.43, -13.3841, -6.6159)
    assert found["full scale"] == near(1, -17.87, -2.13)


def test_axial_probe_looking_the_other_way_turns_the_signs():
    document = description("contract_example")
    document["bull_gear"]["probe_looks_toward"] = "inactive"
    found = levels_of(propose_document(document), "BG/axial/A")
    assert found["trip"] == near(0.43, -6.6159, -13.3841)
    assert found["full scale"] == near(1, -2.13, -17.87)


def test_axial_volts_stay_open_until_the_side_is_told():
    document = description("contract_example")
    document["bull_gear"]["probe_looks_toward"] = None
    machine = propose_document(document)
    assert levels_of(machine, "BG/axial/A")["trip"] == (0.43, None, None)
    assert "sign open: which way the probe looks is not told" in text_of(CARDS.render(machine))


def test_transmitters_in_milliamperes():
    """Axial -1 to +1 mm: zero 12 mA, 0.55 mm 16.4 mA; radial 0 to 125 um: 31 um 7.968 mA."""
    machine = proposal("minimal_packaged")
    axial, radial = levels_of(machine, "BG/axial/A"), levels_of(machine, "P1/P1-1/radial/Y")
    assert axial["zero"] == near(0, 12, None)
    assert axial["trip"] == near(0.55, 16.4, 7.6)
    assert axial["full scale"] == near(1, 20, 4)
    assert radial["zero"] == near(0, 4, None)
    assert radial["trip"] == near(31, 7.968, None)


def test_us_units_give_the_same_volts():
    """2.5 mil is 63.5 um: 0.4997 V."""
    assert levels_of(proposal("us_units_process"), "M1/radial/Y")["alarm"] == near(2.5, 0.4997, None)


def test_resistance_thermometer_in_ohms():
    """Pt100 at 90 degC 134.71 ohm, at 150 degC 157.33 ohm (IEC 60751)."""
    found = levels_of(proposal("contract_example"), "M1/temperature/A")
    assert found["alarm"] == (90, pytest.approx(134.71, abs=0.005), None)
    assert found["full scale"] == (150, pytest.approx(157.33, abs=0.01), None)


@pytest.mark.parametrize("name", NAMES)
def test_signals_agree_with_the_setpoints(name):
    for signals in point_signals(proposal(name)):
        for level in signals.levels:
            setpoint = getattr(signals.point.setpoints, level.name, None)
            if setpoint is None or level.value is None:
                continue
            carried = setpoint.milliamps if signals.point.chain == "transmitter" else setpoint.volts
            if carried is not None:
                assert level.signal == pytest.approx(carried, abs=1e-4)


def test_a_held_setpoint_gives_nothing_to_set():
    machine = proposal_with_hold()
    held = [
        level for each in point_signals(machine) for level in each.levels if level.note.startswith("held")
    ]
    assert held
    assert all(level.value is None and level.signal is None for level in held)
    assert "held, not released" in text_of(CARDS.render(machine))


@pytest.mark.parametrize("name", NAMES)
def test_one_card_a_box_and_train_with_every_tag(name):
    machine = proposal(name)
    pages = [page.extract_text() for page in pdf(CARDS.render(machine)).pages]
    count = len(machine.architecture.junction_boxes) * max(len(machine.machine.get("trains") or ()), 1)
    assert len(pages) == count
    for point in machine.points:
        for tag in point.tags.values() or [point.tag]:
            assert sum(tag in page for page in pages) == 1


@pytest.mark.parametrize(
    ("size", "width", "height"),
    [("A4", 595, 842), ("A3", 595, 842), ("Letter", 612, 792), ("Tabloid", 612, 792)],
)
def test_sheet_folds_to_a_quarter(size, width, height):
    box = pdf(CARDS.render(proposal("minimal_packaged"), Options(size))).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (width, height)


def test_card_names_gap_fault_bands_and_caution():
    text = text_of(CARDS.render(proposal("contract_example")))
    assert "set within −9 to −11 V" in text
    assert "fault above −2 V and below −18 V" in text
    assert "Setpoints are proposals for the machine maker and the owner to confirm." in text
    transmitters = text_of(CARDS.render(proposal("minimal_packaged")))
    assert "fault at 3.6 mA and below, 21 mA and above" in transmitters

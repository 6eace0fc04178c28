import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.kernel.area_classes import (
    DIVISION_GROUPS,
    LEVELS,
    ZONE_GROUPS,
    group_covers,
    is_level_at_least,
    level_for_zone,
    required_temperature_class,
    temperature_class_limit_c,
    zone_group_for_division_group,
)
from specapp.kernel.errors import DomainError, OutOfRange
from specapp.kernel.hazardous_area import marking_notes, marking_problems, parse_marking
from specapp.kernel.markings import BEST_LEVELS, DEFAULT_LEVELS

ZONE_1 = {"level": "Gb", "gas_group": "IIC"}


@pytest.mark.parametrize(
    ("text", "protections", "associated", "group", "temperature_class", "level"),
    [
        ("Ex ia IIC T4 Ga", ("ia",), (), "IIC", "T4", "Ga"),
        ("Ex d e IIB T3", ("d", "e"), (), "IIB", "T3", None),
        ("II 2G Ex db IIC T6 Gb", ("db",), (), "IIC", "T6", "Gb"),
        ("II 1/2 G Ex ia/db IIC T4 Ga/Gb", ("ia", "db"), (), "IIC", "T4", "Ga/Gb"),
        ("II (1)G [Ex ia Ga] IIC", (), ("ia",), "IIC", None, None),
        ("II 3 (1) G Ex ec [ia Ga] IIC T4 Gc", ("ec",), ("ia",), "IIC", "T4", "Gc"),
        ("Ex [ia] IIC", (), ("ia",), "IIC", None, None),
        ("Ex eb [ia IIC Ga] IIB T4 Gb", ("eb",), ("ia",), "IIB", "T4", "Gb"),
        ("Ex op is IIC T6 Ga", ("op is",), (), "IIC", "T6", "Ga"),
        ("Ex nA nC IIC T130 °C Gc", ("nA", "nC"), (), "IIC", "T130°C", "Gc"),
        ("Ex db IIB + hydrogen T4 Gb", ("db",), (), "IIB+H2", "T4", "Gb"),
        ("Class I, Zone 1, AEx db IIC T4 Gb", ("db",), (), "IIC", "T4", "Gb"),
        ("Class I, Division 2, Groups B, C and D, T3A", (), (), "B C D", "T3A", "Division 2"),
        ("  Ex   ia  IIC T4   Ga ", ("ia",), (), "IIC", "T4", "Ga"),
    ],
)
def test_markings_that_are_read(text, protections, associated, group, temperature_class, level):
    found = parse_marking(text)
    assert (found.protections, found.associated) == (protections, associated)
    assert (found.group, found.temperature_class, found.level) == (group, temperature_class, level)


REFUSED = [
    *(
        "",
        "   ",
        "Ex",
        "Ex IIC T4 Ga",
        "ia IIC T4 Ga",
        "Ex ia",
        "Ex ia T4 Ga",
        "Ex zz IIC T4 Ga",
        "Ex IA IIC T4 Ga",
    ),
    *(
        "Ex ia IIC T7 Ga",
        "Ex ia IIC T4 Gd",
        "Ex ia IIC T4 Ga Gb",
        "Ex ia IIIC T80°C Da",
        "Ex tb IIIC T80°C Db",
    ),
    *(
        "Ex ia IID T4 Ga",
        "Ex m IIC T4",
        "Ex p IIC T4",
        "Ex op IIC T4 Ga",
        "Ex op zz IIC T4 Ga",
        "Ex db IIC T4...T6 Gb",
    ),
    *(
        "Ex [ia IIC T4 Ga",
        "Ex ia] IIC T4 Ga",
        "Ex [[ia]] IIC",
        "Ex [] IIC",
        "Ex [Ga] IIC",
        "Ex [ia T4] IIC",
        "[ia] IIC",
    ),
    *(
        "II G Ex ia IIC T4 Ga",
        "II 4G Ex ia IIC T4 Ga",
        "II 2D Ex tb IIIC T80°C Db",
        "Ex ia/db/eb IIC T4 Ga/Gb",
    ),
    *(
        "Ex ia IIC T3A Ga",
        "Class I, Division 3, Group A, T4",
        "Class I, Division 2, Group E, T4",
        "Class II, Division 2",
    ),
    *("Ex ia IIC T4 Ga Ta 60 to -20", "Ex ia IIC T4 Ga; DROP TABLE", "x" * 301, "Ex ia IIC T4 Ga" + " X" * 2),
]


@pytest.mark.parametrize("text", REFUSED)
def test_markings_that_are_refused(text):
    with pytest.raises(DomainError, match="marking"):
        parse_marking(text)
    assert len(marking_problems(text, **ZONE_1)) == 1
    assert marking_notes(text) == []


@pytest.mark.parametrize("text", [None, 3, b"Ex ia IIC T4 Ga", ["Ex"], float("nan")])
def test_what_is_no_text_is_a_reason(text):
    assert marking_problems(text, **ZONE_1) != []
    assert marking_notes(text) == []


alphabet = st.sampled_from(
    [
        "Ex",
        "AEx",
        "II",
        "1G",
        "2G",
        "(1)",
        "G",
        "[",
        "]",
        "[ia",
        "ia]",
        "db",
        "/",
        "+",
        "H2",
        "IIC",
        "T4",
        "T130",
        "°C",
        "Ga",
        "Gb",
        "Ga/Gb",
        "X",
        "U",
        "Ta",
        "-20",
        "to",
        "60",
        "<=",
        "Class I,",
        "Division 2,",
        "Groups",
        "A,",
        "op",
        "is",
    ]
)
anything = st.none() | st.integers() | st.floats() | st.text(max_size=20)


@given(
    text=st.text(max_size=60) | st.lists(alphabet, max_size=12).map(" ".join),
    level=anything | st.sampled_from(LEVELS),
    gas_group=anything | st.sampled_from(ZONE_GROUPS + DIVISION_GROUPS),
    ignition=anything,
    temperature_class=anything,
    ambient=anything | st.tuples(anything, anything),
)
def test_judging_never_raises(text, level, gas_group, ignition, temperature_class, ambient):
    found = marking_problems(
        text,
        level=level,
        gas_group=gas_group,
        ignition_temperature_c=ignition,
        temperature_class=temperature_class,
        ambient_c=ambient,
    )
    assert all(isinstance(reason, str) for reason in found)


@given(st.text(alphabet="abcdeinpqsx", min_size=1, max_size=3))
def test_no_unknown_protection_ever_serves(protection):
    found = marking_problems(f"Ex {protection} IIC T4 Ga", **ZONE_1)
    if protection not in BEST_LEVELS:
        assert found != []
    elif BEST_LEVELS[protection] != "Ga":
        assert any("at best" in reason for reason in found)


@pytest.mark.parametrize("protection", DEFAULT_LEVELS)
@pytest.mark.parametrize("level", LEVELS)
def test_protection_without_a_level_marked(protection, level):
    found = marking_problems(f"Ex {protection} IIC T4", level=level, gas_group="IIC")
    assert (found == []) is is_level_at_least(DEFAULT_LEVELS[protection], level)


@pytest.mark.parametrize("protection", ["op is", "op pr", "op sh", "s"])
def test_protection_whose_level_must_be_stated(protection):
    assert marking_problems(f"Ex {protection} IIC T4", level="Gc", gas_group="IIC") == [
        f"no level is stated, and protection {protection} has none by itself"
    ]
    assert marking_problems(f"Ex {protection} IIC T4 Gb", **ZONE_1) == []


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("Ex ia ec IIC T4", "protection ec gives level Gc; Gb is needed"),
        ("Ex db IIC T4 Ga", "level Ga is marked, but protection db gives Gb at best"),
        ("Ex db ec IIC T4 Gb", "level Gb is marked, but protection ec gives Gc at best"),
        ("Ex db IIC T4 Ga/Gb", "level Ga is marked, but protection db gives Gb at best"),
        ("Ex db/ec IIC T4 Ga/Gb", "level Ga is marked, but protection db gives Gb at best"),
        ("II 3G Ex ia IIC T4 Ga", "category 3G is marked; level Gb is needed"),
        ("Class I, Zone 2 AEx db IIC T4 Gb", "zone 2 is marked; level Gb is needed"),
        ("Ex ia I T4 Ga", "group I is marked; IIC is needed"),
        ("Ex db IIB+H2 T4 Gb", "group IIB+H2 is marked; IIC is needed"),
        ("Ex ia IIC T4 Ga U", "U marks a component, which is no equipment by itself"),
        (
            "Ex [ia Ga] IIC",
            "associated apparatus (all in brackets) belongs in the safe area or in an enclosure of its own",
        ),
    ],
)
def test_one_reason_each(text, reason):
    assert marking_problems(text, **ZONE_1) == [reason]


@pytest.mark.parametrize(
    "text",
    [
        "Ex ia IIC T4 Ga",
        "Ex db eb IIC T4",
        "Ex ia/db IIC T4 Ga/Gb",
        "II 2G Ex db IIC T4 Gb",
        "Ex db II T4 Gb",
        "Ex ia IIC T4 Ga X",
        "Ex db eb [ia Ga] IIC T4 Gb",
    ],
)
def test_markings_that_serve_zone_1(text):
    assert marking_problems(text, **ZONE_1, temperature_class="T4") == []


def test_boundary_device_does_not_serve_zone_0_as_a_whole():
    assert marking_problems("Ex ia/db IIC T4 Ga/Gb", level="Ga", gas_group="IIC") == [
        "level Ga/Gb is marked; Ga is needed"
    ]


def test_every_reason_is_given_at_once():
    found = marking_problems(
        "Ex ec IIA T2 Gc U",
        **ZONE_1,
        ignition_temperature_c=200.0,
        temperature_class="T3",
        ambient_c=(-40.0, 50.0),
    )
    assert len(found) == 7


@pytest.mark.parametrize(
    ("marked", "asked", "fits"),
    [("T4", "T4", True), ("T4", "T3", True), ("T3", "T4", False), ("T130°C", "T4", True)],
)
def test_temperature_class_of_the_area(marked, asked, fits):
    assert (marking_problems(f"Ex ia IIC {marked} Ga", **ZONE_1, temperature_class=asked) == []) is fits


@pytest.mark.parametrize(("ignition_c", "fits"), [(134.9, False), (135.0, False), (135.1, True)])
def test_class_limit_strictly_below_the_ignition_temperature(ignition_c, fits):
    found = marking_problems("Ex ia IIC T4 Ga", **ZONE_1, ignition_temperature_c=ignition_c)
    assert (found == []) is fits


def test_missing_temperature_class_is_a_reason_where_one_is_asked():
    assert marking_problems("Ex ia IIC Ga", **ZONE_1) == []
    assert marking_problems("Ex ia IIC Ga", **ZONE_1, temperature_class="T1") == [
        "no temperature class is marked"
    ]


@pytest.mark.parametrize(
    ("marked", "ambient_c", "fits"),
    [
        ("", 40.0, True),
        ("", 40.1, False),
        ("", (-20.0, 40.0), True),
        ("", (-20.1, 40.0), False),
        (" Ta -40 °C to +60 °C", (-40.0, 60.0), True),
        (" Ta -40 °C to +60 °C", (-41.0, 60.0), False),
        (" -20 °C ≤ Tamb ≤ +55 °C", 55.0, True),
        (" -20 °C ≤ Tamb ≤ +55 °C X", 56.0, False),
    ],
)
def test_ambient_range(marked, ambient_c, fits):
    assert (marking_problems(f"Ex ia IIC T4 Ga{marked}", **ZONE_1, ambient_c=ambient_c) == []) is fits


@pytest.mark.parametrize(
    ("text", "level", "gas_group", "fits"),
    [
        ("Class I, Division 1, Groups A, B, C, D, T4", "Division 1", "B", True),
        ("Class I, Division 1, Groups C, D, T4", "Division 2", "D", True),
        ("Class I, Division 2, Groups C, D, T4", "Division 1", "D", False),
        ("Class I, Division 2, Groups A, B, T4", "Division 2", "C", False),
        ("Class I, Zone 0 AEx ia IIC T4 Ga", "Division 1", "B", True),
        ("Class I, Zone 1 AEx db IIC T4 Gb", "Division 1", "B", False),
        ("Class I, Zone 2 AEx ec IIB T4 Gc", "Division 2", "C", True),
        ("Class I, Zone 2 AEx ec IIA T4 Gc", "Division 2", "C", False),
        ("Ex ec IIC T4 Gc", "Division 2", "C", False),
        ("Class I, Division 1, Groups A, B, C, D, T4", "Gb", "IIC", False),
    ],
)
def test_divisions(text, level, gas_group, fits):
    assert (marking_problems(text, level=level, gas_group=gas_group, temperature_class="T3") == []) is fits


def test_special_conditions_are_a_note():
    assert marking_notes("Ex ia IIC T4 Ga X") == ["X marks special conditions of use: read the certificate"]
    assert marking_notes("Ex ia IIC T4 Ga") == []


@pytest.mark.parametrize(
    ("marked", "serves"),
    [
        ("IIA", {"IIA"}),
        ("IIB", {"IIA", "IIB"}),
        ("IIB+H2", {"IIA", "IIB", "IIB+H2"}),
        ("IIB+acetylene", {"IIA", "IIB"}),
        ("IIC", {"IIA", "IIB", "IIB+H2", "IIC"}),
        ("II", {"IIA", "IIB", "IIB+H2", "IIC"}),
        ("I", set()),
        ("A", {"A"}),
        ("A B", {"A", "B"}),
        ("D", {"D"}),
    ],
)
def test_what_a_group_covers(marked, serves):
    every = (*ZONE_GROUPS, "IIB+H2", *DIVISION_GROUPS)
    assert {needed for needed in every if group_covers(marked, needed)} == serves


@pytest.mark.parametrize("system", ["zone", "division"])
@given(ignition_c=st.floats(85.001, 1000.0))
def test_required_class_is_the_mildest_that_stays_below(system, ignition_c):
    found = required_temperature_class(ignition_c, system)
    assert temperature_class_limit_c(found, system) < ignition_c
    if found != "T1":
        milder = required_temperature_class(temperature_class_limit_c(found, system) + 1e-6, system)
        assert milder == found


@pytest.mark.parametrize("ignition_c", [85.0, 20.0])
def test_gas_that_ignites_below_every_class(ignition_c):
    with pytest.raises(OutOfRange, match="limit of T6"):
        required_temperature_class(ignition_c)


@pytest.mark.parametrize(
    ("temperature_class", "system"), [("T3A", "zone"), ("T7", "zone"), ("", "zone"), (None, "zone")]
)
def test_classes_that_do_not_exist(temperature_class, system):
    with pytest.raises(DomainError, match="temperature_class"):
        temperature_class_limit_c(temperature_class, system)


@pytest.mark.parametrize("zone", [-1, 3, True, "1", None])
def test_zones_that_do_not_exist(zone):
    with pytest.raises(DomainError, match="zone"):
        level_for_zone(zone)


@pytest.mark.parametrize("letter", ["E", "", "IIC"])
def test_letters_that_do_not_exist(letter):
    with pytest.raises(DomainError):
        zone_group_for_division_group(letter)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"level": "Zone 1"}, "level 'Zone 1' of the area"),
        ({"level": None}, "level None of the area"),
        ({"gas_group": "IID"}, "gas group 'IID' of the area"),
        ({"temperature_class": "T9"}, "temperature_class is 'T9'"),
        ({"temperature_class": []}, r"temperature_class is \[\]"),
        ({"ignition_temperature_c": float("nan")}, "ignition_temperature_c is nan"),
        ({"ambient_c": "warm"}, "ambient_c is 'warm'"),
        ({"ambient_c": (None, 40.0)}, "ambient_c is None"),
    ],
)
def test_what_cannot_be_asked_is_a_reason(change, reason):
    found = marking_problems("Ex ia IIC T4 Ga", **{**ZONE_1, **change})
    assert len(found) == 1
    assert re.match(reason, found[0])


@given(level=anything, gas_group=anything, ignition=anything, temperature_class=anything, ambient=anything)
def test_judging_a_good_marking_never_raises(level, gas_group, ignition, temperature_class, ambient):
    found = marking_problems(
        "Ex ia IIC T4 Ga",
        level=level,
        gas_group=gas_group,
        ignition_temperature_c=ignition,
        temperature_class=temperature_class,
        ambient_c=ambient,
    )
    assert all(isinstance(reason, str) for reason in found)


def test_associated_apparatus_alone_belongs_outside_a_division():
    for level in ("Division 1", "Division 2"):
        found = marking_problems("[AEx ia Ga] IIC", level=level, gas_group="B")
        assert any("belongs in the safe area" in reason for reason in found)


def test_groups_of_the_two_systems_do_not_mix():
    found = marking_problems("Class I, Division 1, Groups A, B, T4", level="Division 1", gas_group="IIC")
    assert found == ["groups A B of the division system are marked; IIC is needed"]


def test_notes_tell_of_terminals_for_other_equipment():
    assert marking_notes("Ex db eb [ia Ga] IIC T4 Gb") == [
        "terminals in brackets (ia) serve equipment elsewhere"
    ]

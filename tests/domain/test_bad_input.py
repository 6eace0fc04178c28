"""What bad input gets: the field, what was found and what is allowed, all problems at once."""

import json

import pytest

from specapp.domain.problems import InputErrors, Problem
from tests.domain.samples import bull_gear, lines, machine, pinion, read

AREA = 'allowed: zone 0, 1 or 2, division 1 or 2, or the word "unclassified"'
TAG = "1 to 40 letters, digits, spaces and - _ . /"
SLOWER = "allowed: faster than the bull gear, 1490 r/min, up to 200 000 r/min"
SPEED_RANGE = "allowed: 100 to 200 000 r/min"


def teeth(**changes):
    told = pinion(teeth=30, **changes)
    told["bull_gear"] = {"speed": 1800, "teeth": 300}
    return told


def area(**told):
    return machine(hazardous_area=told)


def driver(**told):
    return machine(driver={"kind": "induction_motor", **told})


def rolling(**changes):
    told = {"balls": 9, "ball_diameter": "7.94 mm", "pitch_diameter": "39.04 mm"}
    return driver(rolling_bearing={**told, **changes})


def override(key="radial.trip_multiple", **row):
    return machine(criteria={key: row})


ONE_PROBLEM = {
    # required facts
    "no tag": (machine(tag=None), f"tag: found nothing; allowed: {TAG}"),
    "no class": (
        machine(service_class=None),
        ("service_class: found nothing; allowed: process or packaged_air"),
    ),
    "no stages": (
        machine(stage_count=None),
        ("stage_count: found nothing; allowed: a whole number from 1 to 10"),
    ),
    "no pinions": (machine(pinions=None), "pinions: found nothing; allowed: a list of 1 to 5 pinions"),
    "empty pinions": (
        machine(pinions=[]),
        ("pinions: found an empty list; allowed: a list of 1 to 5 pinions"),
    ),
    "no area": (
        machine(hazardous_area=None),
        'hazardous_area: found nothing; allowed: "unclassified", or an object with zone or division',
    ),
    "no bull gear speed": (
        machine(bull_gear={}),
        (
            "bull_gear.speed: found nothing; "
            "allowed: a speed from 100 to 200 000 r/min, or driver.speed instead"
        ),
    ),
    "no pinion speed": (
        pinion(speed=None),
        (
            "pinions[0].speed (P1): found nothing; allowed: a speed from 100 to 200 000 r/min, "
            "or teeth here and bull_gear.teeth"
        ),
    ),
    "pinion teeth alone": (
        pinion(speed=None, teeth=23),
        (
            "pinions[0].speed (P1): found nothing; allowed: a speed from 100 to 200 000 r/min, "
            "or teeth here and bull_gear.teeth"
        ),
    ),
    # fields and types
    "unknown field": (
        machine(titel="x"),
        'titel: found "x"; allowed: fields of machine/1 only (did you mean title or site?)',
    ),
    "unknown field of a pinion": (
        pinion(journal_diametre="60 mm"),
        (
            'pinions[0].journal_diametre (P1): found "60 mm"; allowed: fields of machine/1 only '
            "(did you mean journal_diameter?)"
        ),
    ),
    "wrong format": (machine(format="machine/2"), 'format: found "machine/2"; allowed: machine/1'),
    "a number for a text": (machine(tag=4410), f"tag: found 4410; allowed: a text: {TAG}"),
    "a text for a number": (
        machine(stage_count="three"),
        'stage_count: found "three"; allowed: a whole number from 1 to 10',
    ),
    "a broken whole number": (
        machine(stage_count=2.5),
        "stage_count: found 2.5; allowed: a whole number from 1 to 10",
    ),
    "a boolean for a number": (
        machine(stage_count=True),
        "stage_count: found true; allowed: a whole number from 1 to 10",
    ),
    "a boolean for a quantity": (
        pinion(journal_diameter=True),
        (
            "pinions[0].journal_diameter (P1): found true; allowed: 10 to 500 mm "
            "(a number or a text with a number and a unit is needed)"
        ),
    ),
    "a word for a boolean": (
        bull_gear(thrust_bearing="yes"),
        'bull_gear.thrust_bearing: found "yes"; allowed: true or false',
    ),
    "an object for a list": (machine(gases={}), "gases: found an empty object; allowed: a list"),
    "a text for an object": (
        machine(driver="motor"),
        ('driver: found "motor"; allowed: an object with fields'),
    ),
    "a text for a pinion": (
        machine(pinions=[{"speed": 18200}, "fast"]),
        'pinions[1]: found "fast"; allowed: an object with fields',
    ),
    "too many pinions": (
        machine(pinions=[{"speed": 18200}] * 6),
        "pinions: found a list of 6; allowed: a list of at most 5",
    ),
    "no such class": (
        machine(service_class="processs"),
        'service_class: found "processs"; allowed: process or packaged_air',
    ),
    "no such owner": (
        machine(scope={"probe": "vendor"}),
        (
            'scope.probe: found "vendor"; '
            "allowed: machine_maker, system_supplier, installer, purchaser or existing"
        ),
    ),
    "no such link": (
        machine(scope={"probes": "installer"}),
        'scope.probes: found "installer"; allowed: fields of machine/1 only (did you mean probe?)',
    ),
    # quantities
    "wrong kind of unit": (
        pinion(speed="300 Hz"),
        (
            'pinions[0].speed (P1): found "300 Hz"; allowed: a rotational speed in rpm, r/min or rad/s, '
            "100 to 200 000 r/min (that is a frequency)"
        ),
    ),
    "unknown unit": (
        pinion(journal_diameter="60 furlong"),
        (
            'pinions[0].journal_diameter (P1): found "60 furlong"; '
            "allowed: a length in mm, um, cm, m, in, mil or ft, "
            "10 to 500 mm (no such unit here)"
        ),
    ),
    "decimal comma": (
        pinion(axial_float="0,35 mm"),
        (
            'pinions[0].axial_float (P1): found "0,35 mm"; allowed: 0.01 to 5 mm '
            '(the comma can be read in two ways: write "0.35 mm" or "35 mm")'
        ),
    ),
    "comma group": (
        pinion(centre_distance="1,485 mm"),
        (
            'pinions[0].centre_distance (P1): found "1,485 mm"; allowed: 20 to 10 000 mm '
            '(the comma can be read in two ways: write "1.485 mm" or "1485 mm")'
        ),
    ),
    "negative": (
        pinion(journal_diameter="-60 mm"),
        'pinions[0].journal_diameter (P1): found "-60 mm"; allowed: 10 to 500 mm',
    ),
    "zero": (
        pinion(baseline_vibration=0),
        ("pinions[0].baseline_vibration (P1): found 0; allowed: above 0 to 500 um"),
    ),
    "nan": (
        pinion(journal_diameter=float("nan")),
        "pinions[0].journal_diameter (P1): found NaN; allowed: 10 to 500 mm (not a finite number)",
    ),
    "infinite": (
        bull_gear(speed=float("-inf")),
        f"bull_gear.speed: found -Infinity; {SPEED_RANGE} (not a finite number)",
    ),
    "nan of a whole number": (
        machine(stage_count=float("nan")),
        "stage_count: found NaN; allowed: a whole number from 1 to 10",
    ),
    "huge integer": (
        pinion(journal_diameter=10**5000),
        (
            "pinions[0].journal_diameter (P1): found a number of about 5001 digits; allowed: 10 to 500 mm "
            "(not a finite number)"
        ),
    ),
    "too fast": (pinion(speed="200,001 rpm"), f'pinions[0].speed (P1): found "200,001 rpm"; {SPEED_RANGE}'),
    "too slow": (bull_gear(speed="99.9 rpm"), f'bull_gear.speed: found "99.9 rpm"; {SPEED_RANGE}'),
    "journal too small": (
        pinion(journal_diameter="6 mm"),
        'pinions[0].journal_diameter (P1): found "6 mm"; allowed: 10 to 500 mm',
    ),
    "multiplier over 3": (
        pinion(setpoint_multiplier=3.01),
        "pinions[0].setpoint_multiplier (P1): found 3.01; allowed: 1 to 3",
    ),
    "no such conductor": (
        machine(installation={"conductor": "AWG 42"}),
        (
            'installation.conductor: found "AWG 42"; allowed: '
            "0.5 mm2, 0.75 mm2, 1 mm2, 1.5 mm2, AWG 16, AWG 18, AWG 20"
        ),
    ),
    # texts
    "blank tag": (machine(tag="  "), f'tag: found "  "; allowed: {TAG}'),
    "tag of dots": (machine(tag=".."), f'tag: found ".."; allowed: {TAG}'),
    "tag with a letter of another script": (
        machine(tag="K-44\u0661"),
        (f'tag: found "K-44\u0661"; allowed: {TAG}'),
    ),
    "long tag": (machine(tag="K" * 41), f'tag: found "{"K" * 41}"; allowed: {TAG}'),
    "title with a line break": (
        machine(title="a\nb"),
        (
            r'title: found "a\nb"; '
            "allowed: one line of 0 to 200 characters (the character U+000A cannot be printed)"
        ),
    ),
    "title with half a character": (
        machine(title="a\ud800"),
        (
            r'title: found "a\ud800"; '
            "allowed: one line of 0 to 200 characters (the character U+D800 cannot be printed)"
        ),
    ),
    "title that turns the line round": (
        machine(title="a\u202eb"),
        (
            r'title: found "a\u202eb"; '
            "allowed: one line of 0 to 200 characters (the character U+202E cannot be printed)"
        ),
    ),
    "long title": (
        machine(title="x" * 201),
        f'title: found "{"x" * 60}..." (201 characters); allowed: one line of 0 to 200 characters',
    ),
    "two trains alike": (
        machine(trains=["A", "B", "a"]),
        'trains[2]: found "a"; allowed: a label that no other train has',
    ),
    "a long train": (
        machine(trains=["ABCD"]),
        ('trains[0]: found "ABCD"; allowed: 1 to 3 letters or digits'),
    ),
    # speeds
    "pinion slower than the bull gear": (
        pinion(speed="900 rpm"),
        f'pinions[0].speed (P1): found "900 rpm"; {SLOWER}',
    ),
    "pinion as slow as the bull gear": (
        pinion(speed="1490 rpm"),
        f'pinions[0].speed (P1): found "1490 rpm"; {SLOWER}',
    ),
    "pinion slower by teeth": (
        teeth(speed=None) | {"bull_gear": {"speed": 1490, "teeth": 30}},
        f"pinions[0].teeth (P1): found 30; {SLOWER}",
    ),
    "ratio apart by more than 0.1 percent": (
        teeth(speed="18,018.2 rpm"),
        (
            'pinions[0].speed (P1): found "18,018.2 rpm"; allowed: within 0.1 percent of 18 000 r/min '
            "(that is 1800 r/min times 300/30 teeth)"
        ),
    ),
    "trip speed below": (
        pinion(trip_speed="18,199 rpm"),
        (
            'pinions[0].trip_speed (P1): found "18,199 rpm"; '
            "allowed: above the pinion's speed, 18 200 r/min, "
            "up to 200 000 r/min"
        ),
    ),
    "trip speed at": (
        pinion(trip_speed=18200),
        (
            "pinions[0].trip_speed (P1): found 18200; allowed: above the pinion's speed, 18 200 r/min, "
            "up to 200 000 r/min"
        ),
    ),
    "minimum speed above": (
        bull_gear(minimum_speed="1500 rpm"),
        'bull_gear.minimum_speed: found "1500 rpm"; allowed: at most the bull gear\'s speed, 1490 r/min',
    ),
    # stages and names
    "too few stages": (
        machine(stage_count=1),
        "stage_count: found 1; allowed: 2 to 4: one or two stages on each of 2 driven pinions",
    ),
    "too many stages": (
        machine(stage_count=5),
        "stage_count: found 5; allowed: 2 to 4: one or two stages on each of 2 driven pinions",
    ),
    "input pinions only": (
        machine(pinions=[{"speed": 9000, "role": "input"}]),
        "pinions: found input pinions only; allowed: at least one driven pinion",
    ),
    "a stage on two pinions": (
        machine(pinions=[{"speed": 18200, "stages": [1, 2]}, {"speed": 22000, "stages": [2, 3]}]),
        (
            "pinions[1].stages (P2): found [2, 3]; "
            "allowed: each stage on one pinion (stage 2 is also on pinions[0])"
        ),
    ),
    "a stage on no pinion": (
        machine(pinions=[{"speed": 18200, "stages": [1]}, {"speed": 22000, "stages": [2]}]),
        (
            "pinions[1].stages (P2): found [2]; allowed: every stage on a pinion, at most two each "
            "(left without a pinion: 3)"
        ),
    ),
    "a stage that does not exist": (
        pinion(stages=[1, 4]),
        "pinions[0].stages (P1): found [1, 4]; allowed: stages 1 to 3, as stage_count says",
    ),
    "three stages on a pinion": (
        pinion(stages=[1, 2, 3]),
        "pinions[0].stages (P1): found [1, 2, 3]; allowed: a list of at most 2",
    ),
    "both stages on one side": (
        pinion(stages=[1, 2], stage_sides=[1, 1]),
        "pinions[0].stage_sides (P1): found [1, 1]; allowed: side 1 and side 2, one stage on each",
    ),
    "blades of one stage only": (
        pinion(stages=[1, 2], impeller_blades=[17]),
        ("pinions[0].impeller_blades (P1): found [17]; allowed: one number for each of its 2 stages"),
    ),
    "vanes of no stage": (
        machine(pinions=[*machine()["pinions"], {"speed": 9000, "role": "input", "diffuser_vanes": [17]}]),
        ("pinions[2].diffuser_vanes (P3): found [17]; allowed: nothing: this pinion carries no stage"),
    ),
    "expander stage elsewhere": (
        pinion(expander_stages=[3]),
        ("pinions[0].expander_stages (P1): found [3]; allowed: stages that this pinion carries: 1 and 2"),
    ),
    "two names alike": (
        machine(pinions=[{"speed": 18200}, {"speed": 22000, "name": "P1"}]),
        'pinions[1].name (P1): found "P1"; allowed: a name that no other pinion has (as pinions[0])',
    ),
    "the name that another pinion has by its place": (
        machine(pinions=[{"speed": 18200, "name": "P2"}, {"speed": 22000}]),
        'pinions[0].name (P2): found "P2"; allowed: a name that no other pinion has (as pinions[1])',
    ),
    "a name without P": (
        pinion(name="HS1"),
        'pinions[0].name (HS1): found "HS1"; allowed: P, then letters or digits, up to 12 characters',
    ),
    # clearances and axial location
    "clearance below 0.5 per mille": (
        pinion(journal_diameter="60 mm", diametral_clearance="0.0299 mm"),
        (
            'pinions[0].diametral_clearance (P1): found "0.0299 mm"; allowed: 0.03 to 0.3 mm '
            "(0.5 to 5 per mille of the 60 mm journal)"
        ),
    ),
    "clearance above 5 per mille": (
        bull_gear(journal_diameter="160 mm", diametral_clearance="0.801 mm"),
        (
            'bull_gear.diametral_clearance: found "0.801 mm"; allowed: 0.08 to 0.8 mm '
            "(0.5 to 5 per mille of the 160 mm journal)"
        ),
    ),
    "nothing locates the train": (
        bull_gear(thrust_bearing=False),
        (
            "bull_gear.thrust_bearing: found false; "
            "allowed: true, or a pinion with axial_location thrust_bearing "
            "(collars and mesh locate a pinion only against the gear; nothing locates the train)"
        ),
    ),
    "impeller rubs inside the float": (
        pinion(axial_float="0.5 mm", impeller_axial_clearance="0.25 mm"),
        (
            'pinions[0].impeller_axial_clearance (P1): found "0.25 mm"; allowed: above 0.25 mm, '
            "half the axial float of the pinion (the impeller would rub inside the float)"
        ),
    ),
    "impeller rubs inside the usual float": (
        pinion(impeller_axial_clearance="0.175 mm"),
        (
            'pinions[0].impeller_axial_clearance (P1): found "0.175 mm"; allowed: above 0.175 mm, '
            "half the axial float of the pinion (the impeller would rub inside the float)"
        ),
    ),
    "impeller rubs as the bull gear moves": (
        pinion(impeller_axial_clearance=0.5) | {"bull_gear": {"speed": 1490, "axial_float": "1 mm"}},
        (
            "pinions[0].impeller_axial_clearance (P1): found 0.5; allowed: above 0.5 mm, "
            "half the axial float of the bull gear (the impeller would rub inside the float)"
        ),
    ),
    # driver and ambient
    "ball as large as the pitch": (
        rolling(ball_diameter="39.04 mm"),
        (
            'driver.rolling_bearing.ball_diameter: found "39.04 mm"; '
            "allowed: below the pitch diameter, 39.04 mm"
        ),
    ),
    "more balls than fit": (
        rolling(balls=16),
        (
            "driver.rolling_bearing.balls: found 16; allowed: as many as fit: "
            "at 7.94 mm they would overlap on the pitch circle"
        ),
    ),
    "ambient upside down": (
        machine(ambient={"minimum": "45 degC", "maximum": "-20 degC"}),
        'ambient.minimum: found "45 degC"; allowed: at most the maximum, -20 degC',
    ),
    # gases and area
    "unknown gas": (
        machine(gases=["air", "hydrogn"]),
        (
            'gases[1]: found "hydrogn"; allowed: a gas of the catalogue by its name or CAS number '
            "(did you mean hydrogen?)"
        ),
    ),
    "unknown area gas": (
        area(zone=1, area_gases=["unobtainium"]),
        (
            'hazardous_area.area_gases[0]: found "unobtainium"; '
            "allowed: a gas of the catalogue by its name or CAS number"
        ),
    ),
    "packaged air with a flammable gas": (
        machine(service_class="packaged_air", gases=["air", "hydrogen"]),
        (
            'gases[1]: found "hydrogen"; allowed: air or an inert gas in packaged air service; '
            "service_class process for this one (hydrogen is flammable)"
        ),
    ),
    "packaged air with a flammable and toxic gas": (
        machine(service_class="packaged_air", gases=["ammonia"]),
        (
            'gases[0]: found "ammonia"; allowed: air or an inert gas in packaged air service; '
            "service_class process for this one (ammonia is flammable and toxic)"
        ),
    ),
    "packaged air with oxygen": (
        machine(service_class="packaged_air", gases=["oxygen"]),
        (
            'gases[0]: found "oxygen"; allowed: air or an inert gas in packaged air service; '
            "service_class process for this one (oxygen is oxygen-enriched)"
        ),
    ),
    "zone with division": (
        area(zone=2, division=2, gas_group="IIB", temperature_class="T3"),
        "hazardous_area: found zone 2 and division 2; allowed: zone or division, not both",
    ),
    "neither zone nor division": (
        area(gas_group="IIB", temperature_class="T3"),
        f"hazardous_area: found neither zone nor division; {AREA}",
    ),
    "a word for the zone": (
        area(zone="unclassified"),
        'hazardous_area.zone: found "unclassified"; allowed: a whole number from 0 to 2',
    ),
    "another word": (
        machine(hazardous_area="safe"),
        'hazardous_area: found "safe"; allowed: "unclassified", or an object with zone or division',
    ),
    "the word as a field": (
        area(unclassified=True),
        'hazardous_area: found an object; allowed: "unclassified", or an object with zone or division',
    ),
    "group of the other system": (
        area(zone=1, gas_group="C", temperature_class="T3"),
        (
            'hazardous_area.gas_group: found "C"; allowed: '
            "IIA, IIB, IIB+H2, IIC where the area is classified in zones"
        ),
    ),
    "group of the zones in a division": (
        area(division=1, gas_group="IIB", temperature_class="T3"),
        (
            'hazardous_area.gas_group: found "IIB"; '
            "allowed: A, B, C, D where the area is classified in divisions"
        ),
    ),
    "class of the divisions in a zone": (
        area(zone=1, gas_group="IIB", temperature_class="T3A"),
        (
            'hazardous_area.temperature_class: found "T3A"; allowed: '
            "T1, T2, T3, T4, T5, T6 where the area is classified in zones"
        ),
    ),
    "no group and no gas": (
        area(zone=2, temperature_class="T3"),
        (
            "hazardous_area.gas_group: found nothing; "
            "allowed: IIA, IIB, IIB+H2, IIC, or area_gases that decide it"
        ),
    ),
    # sources and criteria
    "source of nothing": (
        machine(sources={"pinions[2].journal_diameter": {"state": "quoted"}}),
        (
            'sources["pinions[2].journal_diameter"]: found a path that names none; allowed: '
            "the path of a field given in this description, such as pinions[0].journal_diameter"
        ),
    ),
    "source in no known state": (
        machine(sources={"tag": {"state": "sure"}}),
        'sources["tag"].state: found "sure"; allowed: quoted, measured, assumed or confirmed',
    ),
    "override with an unknown key": (
        override("radial.trip_multipl", value=1.8, reason="owner"),
        (
            'criteria["radial.trip_multipl"]: found no such criterion; allowed: a criterion of this project '
            "(schema criteria lists them) (did you mean radial.trip_multiple?)"
        ),
    ),
    "override without reason": (
        override(value=1.8),
        (
            'criteria["radial.trip_multiple"].reason: found nothing; '
            "allowed: the reason for the override, in words"
        ),
    ),
    "override with a blank reason": (
        override(value=1.8, reason="  "),
        (
            'criteria["radial.trip_multiple"].reason: found "  "; '
            "allowed: the reason for the override, in words"
        ),
    ),
    "override without value": (
        override(reason="owner"),
        'criteria["radial.trip_multiple"].value: found nothing; allowed: 1.2 to 3',
    ),
    "override above its range": (
        override(value=3.01, reason="owner"),
        'criteria["radial.trip_multiple"].value: found 3.01; allowed: 1.2 to 3',
    ),
    "override below its range": (
        override(value=1.19, reason="owner"),
        'criteria["radial.trip_multiple"].value: found 1.19; allowed: 1.2 to 3',
    ),
    "override with a word": (
        override(value="high", reason="owner"),
        'criteria["radial.trip_multiple"].value: found "high"; allowed: 1.2 to 3 (a number, not a text)',
    ),
    "override with a boolean": (
        override(value=True, reason="owner"),
        'criteria["radial.trip_multiple"].value: found true; allowed: 1.2 to 3',
    ),
    "override with nan": (
        override(value=float("nan"), reason="owner"),
        'criteria["radial.trip_multiple"].value: found NaN; allowed: 1.2 to 3',
    ),
    "override in a wrong unit": (
        override("axial.float_default", value="0.3 s", reason="owner"),
        'criteria["axial.float_default"].value: found "0.3 s"; allowed: 0.1 to 1 mm (that is a time)',
    ),
    "override of a number of places": (
        override("rack.positions", value=12.5, reason="owner"),
        'criteria["rack.positions"].value: found 12.5; allowed: a whole number from 4 to 20',
    ),
    "override with no such choice": (
        override("trip.voting", value="3oo3", reason="owner"),
        'criteria["trip.voting"].value: found "3oo3"; allowed: 1oo2, 2oo2',
    ),
    "override that is a bare number": (
        machine(criteria={"radial.trip_multiple": 1.8}),
        'criteria["radial.trip_multiple"]: found 1.8; allowed: an object with fields',
    ),
}


@pytest.mark.parametrize(("document", "line"), ONE_PROBLEM.values(), ids=ONE_PROBLEM)
def test_a_single_mistake_gives_a_single_line(document, line):
    assert lines(document) == [line]


def test_problems_of_fields_and_between_fields_come_together_in_document_order():
    told = pinion(journal_diameter="0,35 mm", trip_speed="900 rpm")
    told["pinions"][1]["speed"] = "900 rpm"
    told |= {
        "tag": "",
        "stage_count": 9,
        "gases": ["hydrogn", 4],
        "hazardous_area": {"zone": 1, "division": 1},
    }
    told |= {
        "criteria": {"radial.trip_multiple": {"value": 9}, "x": {"value": 1, "reason": "r"}},
        "colour": "red",
    }
    assert [line.split(": found")[0] for line in lines(told)] == [
        "tag",
        "gases[0]",
        "gases[1]",
        "stage_count",
        "pinions[0].trip_speed (P1)",
        "pinions[0].journal_diameter (P1)",
        "pinions[1].speed (P2)",
        "hazardous_area",
        'criteria["radial.trip_multiple"].value',
        'criteria["radial.trip_multiple"].reason',
        'criteria["x"]',
        "colour",
    ]


@pytest.mark.parametrize("unread", [{"driver": {"speed": "1490 Hz"}}, {"bull_gear": {"speed": "x"}}])
def test_a_value_that_cannot_be_read_is_not_called_missing_too(unread):
    told = machine(bull_gear={}) | unread
    assert len(lines(told)) == 1


def test_the_name_of_a_pinion_stands_beside_its_path():
    told = pinion(name="PHP", speed="900 rpm")
    assert lines(told)[0].startswith("pinions[0].speed (PHP): found")


def test_very_many_problems_are_cut_and_counted():
    told = machine(**{f"field_{number}": 1 for number in range(1000)})
    printed = lines(told)
    assert len(printed) == 201
    assert printed[-1].startswith("document: found 800 more problems")


def test_errors_carry_their_problems():
    with pytest.raises(InputErrors) as caught:
        read(json.dumps(machine(tag="")))
    assert caught.value.problems == (Problem("tag", '""', TAG),)
    assert str(caught.value) == f'tag: found ""; allowed: {TAG}'

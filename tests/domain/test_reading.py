"""Reading valid descriptions: defaults, normal form, round trip, equality across units."""

import copy
import json

import pytest

from specapp.domain.machine import (
    Ambient,
    Driver,
    HazardousArea,
    Scope,
    bull_gear_speed_rpm,
    pinion_speeds_rpm,
)
from specapp.domain.reading import machine_json
from tests.domain.samples import FIXTURES, as_bytes, bull_gear, machine, pinion, read


@pytest.fixture(params=FIXTURES, ids=lambda path: path.stem)
def sample(request):
    return request.param.read_bytes()


def test_there_are_sample_machines():
    assert {path.stem for path in FIXTURES} >= {
        "minimal_process",
        "minimal_packaged",
        "contract_example",
        "published_air_compressor",
        "eight_stage",
        "ten_stage",
        "turbine_driven_hydrogen",
        "us_units_process",
    }


def test_a_sample_machine_reads_and_writes_itself(sample):
    read_once = read(sample)
    written = machine_json(read_once)
    assert read(written) == read_once
    assert machine_json(read(json.dumps(written))) == written
    assert hash(read_once) == hash(read(sample))


def test_a_sample_machine_says_that_it_is_invented_or_whose_it_is(sample):
    assert "nvented" in json.loads(sample)["title"]


def test_four_facts_are_enough_and_the_rest_is_not_told():
    told = read(as_bytes(machine()))
    assert told.tag == "K-4410"
    assert [(own.name, own.speed) for own in told.pinions] == [("P1", 18200.0), ("P2", 22000.0)]
    assert told.hazardous_area == HazardousArea(zone=2, gas_group="IIB", temperature_class="T3")
    assert (told.criticality, told.driver, told.support) == (None, None, None)
    assert (told.setting_units, told.split_line) == ("si", "unknown")
    assert (told.ambient, told.scope) == (Ambient(), Scope())
    assert told.pinions[0].role == "driven"
    assert told.bull_gear.thrust_bearing is None


@pytest.mark.parametrize("form", [as_bytes, json.dumps, dict, lambda told: b"\xef\xbb\xbf" + as_bytes(told)])
def test_bytes_text_and_objects_are_read_alike(form):
    assert read(form(machine())) == read(machine())


def test_null_is_not_told():
    told = machine(driver=None, gases=None, title=None, installation=None, sources=None, criteria=None)
    told["bull_gear"]["teeth"] = None
    assert read(told) == read(machine())


def test_the_order_of_fields_changes_nothing():
    told = json.loads(FIXTURES[0].read_bytes())
    backwards = dict(reversed(told.items()))
    assert json.dumps(machine_json(read(backwards))) == json.dumps(machine_json(read(told)))


_SI_AND_US = [
    ("bull_gear", "journal_diameter", "165.1 mm", "6.5 in"),
    ("bull_gear", "diametral_clearance", "0.254 mm", "10 mil"),
    ("bull_gear", "axial_float", 0.3556, "14 mil"),
    ("bull_gear", "baseline_vibration", "8.89 um p-p", "0.35 mil p-p"),
    ("bull_gear", "casing_baseline", "2.54 mm/s", "0.1 in/s"),
    ("ambient", "minimum", "-10 degC", "14 degF"),
    ("ambient", "maximum", "40 degC", "104 degF"),
    ("driver", "power", "745.6998715822702 kW", "1000 hp"),
    ("installation", "cable_run", "137.16 m", "450 ft"),
    ("installation", "conductor", "1 mm2", "1.0 mm\u00b2"),
    ("safety", "proof_test_interval", "17520 h", "2 year"),
]


def test_si_and_us_descriptions_of_one_machine_are_equal():
    metric, customary = machine(), machine()
    for group, field, in_si, in_us in _SI_AND_US:
        metric.setdefault(group, {})[field] = in_si
        customary.setdefault(group, {})[field] = in_us
    assert read(metric) == read(customary)
    assert machine_json(read(metric)) == machine_json(read(customary))


def test_gases_get_the_name_of_the_catalogue():
    told = machine(gases=["Carbon  Dioxide", "AIR", "124-38-9"])
    told["hazardous_area"] = {"zone": 1, "area_gases": ["Hydrogen"]}
    assert read(told).gases == ("carbon dioxide", "air")
    assert read(told).hazardous_area.area_gases == ("hydrogen",)


def test_an_override_may_be_typed_with_a_unit():
    told = machine(
        criteria={
            "axial.float_default": {"value": "14 mil", "reason": "as the bearing drawing"},
            "delay.process": {"value": "500 ms", "reason": "owner"},
            "rack.positions": {"value": 12.0, "reason": "owner"},
            "trip.voting": {"value": "2oo2", "reason": "owner"},
        }
    )
    values = {key: row.value for key, row in read(told).criteria.items()}
    assert values == {
        "axial.float_default": 0.3556,
        "delay.process": 0.5,
        "rack.positions": 12.0,
        "trip.voting": "2oo2",
    }


def test_whole_numbers_may_come_as_floats():
    assert read(machine(stage_count=3.0)) == read(machine())
    assert read(pinion(stages=[1.0, 2.0])).pinions[0].stages == (1, 2)


def test_the_area_may_be_unclassified():
    told = read(machine(hazardous_area="unclassified"))
    assert told.hazardous_area.unclassified
    assert machine_json(told)["hazardous_area"] == "unclassified"


@pytest.mark.parametrize(
    ("area"),
    [
        {"zone": 0, "gas_group": "IIC", "temperature_class": "T6"},
        {"zone": 1, "gas_group": "IIB+H2", "temperature_class": "T1"},
        {"division": 1, "gas_group": "B", "temperature_class": "T2D"},
        {"division": 2, "area_gases": ["hydrogen"]},
        {"zone": 2, "area_gases": ["ammonia"], "equipment_protection_level": "Gb"},
    ],
)
def test_areas_of_both_systems(area):
    assert machine_json(read(machine(hazardous_area=area)))["hazardous_area"] == area


class TestSpeeds:
    """Speeds told, derived from teeth, and from the driver."""

    def test_of_a_driver_coupled_directly(self):
        told = machine(bull_gear=None, driver={"speed": "1,490 rpm"})
        assert bull_gear_speed_rpm(read(told)) == 1490.0

    def test_of_a_pinion_by_teeth(self):
        told = pinion(speed=None, teeth=23)
        told["bull_gear"]["teeth"] = 281
        assert pinion_speeds_rpm(read(told)) == (pytest.approx(1490 * 281 / 23), 22000.0)

    @pytest.mark.parametrize("speed", [18000 * (1 - 0.001), 18000.0, 18000 * (1 + 0.001)])
    def test_given_and_by_teeth_agree_within_a_tenth_of_a_percent(self, speed):
        told = pinion(speed=speed, teeth=30)
        told["bull_gear"] = {"speed": 1800, "teeth": 300}
        assert pinion_speeds_rpm(read(told))[0] == pytest.approx(speed)

    def test_of_the_bull_gear_behind_an_input_pinion(self):
        """The driver turns the pinion, so its speed is the pinion's, never the bull gear's."""
        told = machine(bull_gear={"teeth": 300}, driver={"kind": "steam_turbine", "speed": "9,000 rpm"})
        told["pinions"].append({"role": "input", "teeth": 50})
        description = read(told)
        assert bull_gear_speed_rpm(description) == pytest.approx(1500.0)
        assert pinion_speeds_rpm(description)[2] == pytest.approx(9000.0)

    def test_of_an_input_pinion_that_the_driver_turns(self):
        told = machine(driver={"kind": "steam_turbine", "speed": "9,000 rpm"})
        told["pinions"].append({"role": "input"})
        assert pinion_speeds_rpm(read(told))[2] == 9000.0

    def test_of_an_unread_description_are_an_error(self):
        told = read(machine())
        lost = told.model_copy(update={"bull_gear": told.bull_gear.model_copy(update={"speed": None})})
        with pytest.raises(ValueError, match="not read by read_machine"):
            bull_gear_speed_rpm(lost)
        with pytest.raises(ValueError, match="not read by read_machine"):
            pinion_speeds_rpm(
                lost.model_copy(update={"pinions": (lost.pinions[0].model_copy(update={"speed": None}),)})
            )


@pytest.mark.parametrize(
    "document",
    [
        bull_gear(thrust_bearing=False, axial_float="0.5 mm")
        | {"pinions": [{"speed": 18200, "axial_location": "thrust_bearing"}, {"speed": 22000}]},
        pinion(journal_diameter="60 mm", diametral_clearance="0.03 mm"),
        pinion(journal_diameter="60 mm", diametral_clearance="0.3 mm"),
        pinion(trip_speed="18201 rpm"),
        pinion(impeller_axial_clearance="0.1751 mm"),
        pinion(amplification_factor=1.9),
        pinion(name="PA", setpoint_multiplier=3),
        machine(ambient={"minimum": "20 degC", "maximum": "20 degC"}),
        machine(trains=["A", "B", "C1"]),
        machine(tag="a"),
        machine(tag="K 4410/A-B_1." + "x" * 27),
        machine(title="\u00fcber \u4e2d\u6587 \u00a0 caf\u00e9" + "x" * 180),
        machine(service_class="packaged_air", gases=["air", "nitrogen"]),
        machine(
            driver={"rolling_bearing": {"balls": 9, "ball_diameter": 7.94, "pitch_diameter": 39.04}},
        ),
        machine(driver=Driver(kind="gas_turbine").model_dump(exclude_none=True)),
    ],
    ids=range(15),
)
def test_what_is_just_allowed(document):
    before = copy.deepcopy(document)
    assert read(document)
    assert document == before

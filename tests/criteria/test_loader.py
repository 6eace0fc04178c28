"""The criteria data and its lookup: what is in force, overrides, digest."""

from datetime import date
from math import inf, nextafter

import pytest

from specapp.criteria.loader import (
    CriteriaSet,
    CriterionNotFound,
    Override,
    OverrideOutOfRange,
    load_defaults,
    weakest_status,
)
from specapp.kernel.units import KINDS


@pytest.fixture
def defaults() -> CriteriaSet:
    return load_defaults()


def test_every_row_has_what_a_reader_needs(defaults):
    for criterion in defaults:
        for text in (criterion.title, criterion.note, criterion.edition, criterion.unit):
            assert text, criterion.key
        assert criterion.source or criterion.status == "common practice", criterion.key
        assert criterion.minimum < criterion.maximum, criterion.key
        assert criterion.allows(criterion.value), criterion.key
        assert (criterion.read.key, criterion.read.value) == (criterion.key, criterion.value)


def test_keys_are_in_alphabetical_order_and_iteration_follows_them(defaults):
    assert list(defaults.keys()) == sorted(defaults.keys()) == [each.key for each in defaults]


@pytest.mark.parametrize(
    ("key", "value", "unit", "status"),
    [
        # Recounted from the sources named in the rows, not from the data files.
        ("radial.acceptance_cap", 25.4, "um", "published"),  # API 617: 1.0 mil
        ("bull_gear.acceptance_cap", 38.1, "um", "common practice"),  # 1.5 mil
        ("turbine.acceptance_cap", 50.8, "um", "from memory"),  # 2.0 mil
        ("radial.zone_speed_maximum", 30000.0, "rpm", "published"),  # ISO 20816-3, scope
        ("casing.group_1_power", 300.0, "kW", "published"),  # ISO 20816-3, groups
        ("overspeed.input_minimum", 300.0, "Hz", "published"),  # API 670 4th ed. 5.4.8.4
        ("overspeed.relay_response", 40.0, "ms", "published"),  # API 670 4th ed. 5.4.8.4
        ("rack.single_fault_channels", 2.0, "1", "published"),  # API 670 4th ed. 5.4.1
        ("loop.fault_high", 21.0, "mA", "published"),  # NAMUR NE 43
        ("accelerometer.band_minimum_orders", 1.3, "1", "published"),  # KIT Scientific Working Papers 157
        ("probe.scale_factor", 7.87, "V/mm", "from memory"),  # API 670: 200 mV/mil
    ],
)
def test_values_of_named_sources(defaults, key, value, unit, status):
    criterion = defaults.get(key)
    assert (criterion.value, criterion.unit, criterion.status) == (value, unit, status)


@pytest.mark.parametrize(
    ("lower", "higher"),
    [
        ("radial.alarm_multiple", "radial.trip_multiple"),
        ("radial.alarm_clearance", "radial.trip_clearance"),
        ("motor.radial_alarm", "motor.radial_trip"),
        ("temperature.journal_alarm", "temperature.journal_trip"),
        ("temperature.thrust_alarm", "temperature.thrust_trip"),
        ("temperature.thrust_trip", "temperature.babbitt_limit"),
        ("temperature.winding_b_alarm", "temperature.winding_b_trip"),
        ("temperature.winding_f_alarm", "temperature.winding_f_trip"),
        ("process_protection.oil_pressure_trip", "process_protection.oil_pressure_alarm"),
        ("process_protection.oil_temperature_alarm", "process_protection.oil_temperature_trip"),
        ("loop.fault_low", "loop.band_low"),
        ("loop.band_high", "loop.fault_high"),
        ("whirl.low", "whirl.high"),
    ],
)
def test_defaults_stand_in_their_natural_order(defaults, lower, higher):
    assert defaults.value(lower) < defaults.value(higher)


@pytest.mark.parametrize("family", ["range.monitor_um", "range.monitor_mil", "range.transmitter_um"])
def test_full_scales_ascend(defaults, family):
    steps = [each.value for each in defaults if each.key.startswith(f"{family}_")]
    assert len(steps) >= 3
    assert steps == sorted(set(steps))


def test_no_setting_on_babbitt_may_be_overridden_above_the_babbitt_limit(defaults):
    limit = defaults.get("temperature.babbitt_limit")
    for criterion in defaults:
        if criterion.key.startswith(("temperature.journal_", "temperature.thrust_")):
            assert criterion.maximum <= limit.value <= limit.maximum


def test_an_unknown_key_names_the_close_ones(defaults):
    with pytest.raises(CriterionNotFound) as caught:
        defaults.get("radial.trip_multipel")
    assert "'radial.trip_multipel'" in str(caught.value)
    assert "radial.trip_multiple" in caught.value.close_matches


def test_an_override_keeps_status_and_default_and_changes_nothing_else(defaults):
    changed = defaults.with_overrides({"radial.trip_multiple": Override(1.8, "owner, clause 7.3")}, "project")
    criterion = changed.get("radial.trip_multiple")
    assert criterion.value == criterion.read.value == 1.8
    assert criterion.status == criterion.read.status == "common practice"
    assert criterion.override == criterion.read.override
    assert criterion.override == {
        "value": 1.8,
        "reason": "owner, clause 7.3",
        "origin": "project",
        "default": 2.0,
    }
    assert defaults.value("radial.trip_multiple") == 2.0
    assert [each for each in changed if each.override] == [criterion]


def test_the_machine_wins_over_the_project_and_the_default_stays_the_original(defaults):
    project = defaults.with_overrides({"radial.trip_multiple": Override(1.8, "project")}, "project")
    machine = project.with_overrides({"radial.trip_multiple": Override(1.7, "machine")}, "machine")
    assert machine.get("radial.trip_multiple").override == {
        "value": 1.7,
        "reason": "machine",
        "origin": "machine",
        "default": 2.0,
    }


@pytest.mark.parametrize("value", [0.5, 5.0])
def test_an_override_may_take_either_end_of_its_range(defaults, value):
    changed = defaults.with_overrides({"radial.trip_multiple": Override(value, "why")}, "machine")
    assert changed.value("radial.trip_multiple") == value


@pytest.mark.parametrize("value", [nextafter(0.5, 0), nextafter(5.0, 6), inf, float("nan")])
def test_an_override_beyond_its_range_is_refused(defaults, value):
    with pytest.raises(OverrideOutOfRange, match=r"0\.5 to 5"):
        defaults.with_overrides({"radial.trip_multiple": Override(value, "why")}, "machine")


def test_a_count_is_overridden_by_whole_numbers_only(defaults):
    assert defaults.with_overrides({"rack.slots": Override(16, "why")}, "machine").value("rack.slots") == 16
    with pytest.raises(OverrideOutOfRange, match="a whole number"):
        defaults.with_overrides({"rack.slots": Override(15.5, "why")}, "machine")


def test_an_override_of_an_unknown_key_is_refused(defaults):
    with pytest.raises(CriterionNotFound):
        defaults.with_overrides({"radial.nothing": Override(1, "why")}, "machine")


def test_the_digest_tells_every_change_of_value_reason_and_origin(defaults):
    def digest(value, reason, origin):
        return defaults.with_overrides({"radial.trip_multiple": Override(value, reason)}, origin).digest

    digests = {
        defaults.digest,
        digest(1.8, "a", "machine"),
        digest(1.9, "a", "machine"),
        digest(1.8, "b", "machine"),
        digest(1.8, "a", "project"),
    }
    assert len(digests) == 5
    assert digest(1.8, "a", "machine") == digest(1.8, "a", "machine")
    assert defaults.with_overrides({}, "machine") is defaults
    assert defaults.digest.startswith("sha256 ")
    assert len(defaults.digest) == 71


def test_limits_tell_a_reader_what_an_override_may_be(defaults):
    limits = defaults.limits()
    assert set(limits) == set(defaults.keys())
    trip = limits["radial.trip_multiple"]
    assert (trip.minimum, trip.maximum, trip.default, trip.kind) == (0.5, 5.0, 2.0, None)
    assert limits["rack.slots"].whole
    for criterion in defaults:
        kind = limits[criterion.key].kind
        assert kind is None or criterion.unit in KINDS[kind].units, criterion.key


def test_a_date_before_the_first_edition_has_no_criterion_of_it():
    before = load_defaults(date(2022, 3, 31))
    on_the_day = load_defaults(date(2022, 4, 1))
    assert "radial.acceptance_cap" not in before
    assert "radial.acceptance_cap" in on_the_day


@pytest.mark.parametrize(
    ("statuses", "weakest"),
    [
        (("published",), "published"),
        (("published", "from memory"), "from memory"),
        (("from memory", "common practice", "published"), "common practice"),
    ],
)
def test_weakest_status(statuses, weakest):
    assert weakest_status(*statuses) == weakest


def test_weakest_status_refuses_none_and_unknown_words():
    with pytest.raises(ValueError, match="empty"):
        weakest_status()
    with pytest.raises(ValueError, match="not in tuple"):
        weakest_status("rumour")

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.catalogue.gases import Gas, UnknownGas, all_gases, find, known_names, most_severe
from specapp.kernel.errors import DomainError, MissingInput


@pytest.mark.parametrize("gas", all_gases(), ids=lambda gas: gas.name)
def test_every_entry_is_whole(gas):
    assert find(gas.name) is gas
    assert all(find(spelling) is gas for spelling in gas.synonyms)
    if gas.flammable:
        assert gas.iec_group in ("IIA", "IIB", "IIC")
        assert gas.nec_group in ("A", "B", "C", "D", None)
        assert gas.ignition_c is not None
    else:
        assert (gas.iec_group, gas.nec_group, gas.ignition_c, gas.lower_limit_percent) == (None,) * 4
    for field in (
        "iec_group",
        "nec_group",
        "ignition_iec_c",
        "ignition_nfpa_c",
        "lower_limit_percent",
        "kind",
    ):
        source = gas.source_of(field)
        assert source.status in ("published", "from memory", "common practice")
        assert source.source or source.status == "common practice"


@pytest.mark.parametrize("gas", [gas for gas in all_gases() if gas.cas], ids=lambda gas: gas.name)
def test_cas_numbers_carry_their_check_digit(gas):
    assert find(gas.cas) is gas
    digits = gas.cas.replace("-", "")
    weighed = sum(place * int(digit) for place, digit in enumerate(reversed(digits[:-1]), start=1))
    assert weighed % 10 == int(digits[-1])


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("H2", "hydrogen"),
        (" Hydrogen ", "hydrogen"),
        ("CO₂", "carbon dioxide"),
        ("carbon  dioxide", "carbon dioxide"),
        ("CO", "carbon monoxide"),
        ("74-82-8", "methane"),
        ("steam", "water vapour"),
        ("hydrogen sulphide", "hydrogen sulfide"),
        ("butane", "n-butane"),
        ("syngas", "synthesis gas"),
    ],
)
def test_spellings(spelling, name):
    assert find(spelling).name == name
    assert find(spelling.upper()).name == name


def test_known_names_are_those_that_are_found():
    names = known_names()
    assert {"hydrogen", "h2", "1333-74-0", "air", "steam"} <= names
    assert all(name == name.casefold() for name in names)
    assert all(isinstance(find(name), Gas) for name in names)


@pytest.mark.parametrize(
    ("spelling", "meant"),
    [("hydrogn", "hydrogen"), ("etylene", "ethylene"), ("nitrogene", "nitrogen"), ("C4H10", "isobutane")],
)
def test_unknown_names_offer_close_ones(spelling, meant):
    with pytest.raises(UnknownGas, match=meant) as caught:
        find(spelling)
    assert meant in caught.value.close_matches
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)


@pytest.mark.parametrize("spelling", ["", "unobtainium", "x" * 100_000, None, 7, ["air"]])
def test_names_like_no_other_are_refused_in_few_words(spelling):
    with pytest.raises(UnknownGas) as caught:
        find(spelling)
    assert caught.value.close_matches == ()
    assert len(str(caught.value)) < 200


@given(st.text(max_size=100))
def test_any_text_is_a_known_name_or_an_unknown_gas(text):
    spelling = " ".join(text.casefold().split())
    if spelling in known_names():
        assert isinstance(find(text), Gas)
    elif spelling.isascii():
        with pytest.raises(UnknownGas, match="gas"):
            find(text)


@pytest.mark.parametrize(
    ("name", "kind", "toxic"),
    [
        ("air", "air", False),
        ("nitrogen", "inert", False),
        ("carbon dioxide", "inert", False),
        ("oxygen", "oxygen_enriched", False),
        ("chlorine", "toxic", True),
        ("sulphur dioxide", "toxic", True),
        ("ammonia", "flammable", True),
        ("propane", "flammable", False),
    ],
)
def test_kinds(name, kind, toxic):
    gas = find(name)
    assert (gas.kind, gas.toxic) == (kind, toxic)
    assert [gas.air, gas.inert, gas.flammable, gas.oxygen_enriched].count(True) == (
        0 if kind == "toxic" else 1
    )


def test_most_severe_names_the_gas_behind_each_answer():
    found = most_severe([find("nitrogen"), find("n-pentane"), find("hydrogen")])
    assert (found.group, found.group_gas) == ("IIC", "hydrogen")
    assert (found.temperature_class, found.temperature_gas) == ("T3", "n-pentane")
    assert found.groups == ("IIC", "IIA")


def test_divisions_need_every_letter():
    found = most_severe([find("propane"), find("hydrogen"), find("ethylene")], "division")
    assert (found.group, found.groups) == ("B", ("B", "C", "D"))


def test_data_set_without_a_value_gives_no_class():
    found = most_severe([find("carbonyl sulfide")])
    assert (found.temperature_class, found.temperature_class_iec, found.temperature_class_nfpa) == (
        "T3",
        "T3",
        None,
    )


@given(st.lists(st.sampled_from([gas for gas in all_gases() if gas.flammable]), min_size=1, max_size=5))
def test_a_mixture_is_never_milder_than_its_parts(gases):
    whole = most_severe(gases)
    for gas in gases:
        part = most_severe([gas])
        assert part.group <= whole.group
        assert part.temperature_class <= whole.temperature_class
        assert part.ignition_temperature_c >= whole.ignition_temperature_c


@pytest.mark.parametrize("names", [[], ["air"], ["nitrogen", "chlorine"]])
def test_gases_that_do_not_burn_give_no_class(names):
    with pytest.raises(DomainError, match="at least one flammable gas"):
        most_severe([find(name) for name in names])


def test_letter_that_is_not_known_is_asked_for():
    with pytest.raises(MissingInput, match="gas group of carbon disulfide"):
        most_severe([find("carbon disulfide")], "division")

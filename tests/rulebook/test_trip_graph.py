"""Walking hand-made ways: what legs share, networks on the way, tips that lead nowhere."""

from specapp.rulebook.rules.trip_functions import Leg, Way, walked
from specapp.rulebook.trip_graph import (
    BETWEEN_RACKS,
    DATA_LINK,
    HARD_WIRED,
    SIGNAL,
    Node,
    TripGraph,
    walk_group,
)

STOP = Node("breaker", "driver_breaker", False)
RELAY = Node("relay", "relay", False)


def graph_of(*chains):
    graph = TripGraph()
    for nodes, kinds in chains:
        graph.add(nodes, kinds)
    return graph


def leg(name, module):
    return [Node(name, "probe", True), Node(module, "monitor_module", True), RELAY, STOP]


WIRED = [SIGNAL, SIGNAL, HARD_WIRED]


def test_legs_on_modules_of_their_own_share_nothing_before_the_vote():
    graph = graph_of((leg("x", "m1"), WIRED), (leg("y", "m2"), WIRED))
    found = walk_group(graph, ["x", "y"], ["breaker"])
    assert found.legs == (("x", "m1"), ("y", "m2"))
    assert found.shared == ()
    assert found.common == ("relay", "breaker")
    assert found.networks == found.unreached == ()


def test_a_module_that_both_legs_pass_is_found():
    graph = graph_of((leg("x", "m1"), WIRED), (leg("y", "m1"), WIRED))
    found = walk_group(graph, ["x", "y"], ["breaker"])
    assert found.shared == ("m1",)
    assert found.legs == (("x",), ("y",))


def test_a_module_that_two_of_three_legs_pass_is_shared():
    chains = [(leg(name, module), WIRED) for name, module in (("a", "m1"), ("b", "m1"), ("c", "m2"))]
    found = walk_group(graph_of(*chains), ["a", "b", "c"], ["breaker"])
    assert found.shared == ("m1",)


def test_a_trip_over_a_data_link_is_found_at_its_stretch():
    graph = graph_of((leg("x", "m1"), [SIGNAL, DATA_LINK, HARD_WIRED]))
    assert walk_group(graph, ["x"], ["breaker"]).networks == ("m1 to relay",)


def test_a_second_way_over_a_network_is_found_beside_the_wired_one():
    gateway = Node("gateway", "control_system", False)
    graph = graph_of(
        (leg("x", "m1"), WIRED),
        ([Node("m1", "monitor_module", True), gateway, STOP], [DATA_LINK, HARD_WIRED]),
    )
    assert len(graph.walk("x", "breaker")) == 2
    assert walk_group(graph, ["x"], ["breaker"]).networks == ("m1 to gateway",)


def test_a_tip_that_leads_nowhere_is_named():
    graph = graph_of((leg("x", "m1"), WIRED))
    graph.add([Node("y", "probe", True)], [])
    found = walk_group(graph, ["x", "y"], ["breaker"])
    assert found.unreached == ("y",)


def test_every_final_element_is_walked_to():
    valve = Node("expander valve", "trip_valve", False)
    graph = graph_of((leg("x", "m1"), WIRED), ([RELAY, valve], [HARD_WIRED]))
    assert walk_group(graph, ["x"], ["breaker", "expander valve"]).common == (
        "relay",
        "breaker",
        "expander valve",
    )


def test_a_ring_is_walked_once():
    graph = graph_of((leg("x", "m1"), WIRED), ([RELAY, Node("x", "probe", True)], [SIGNAL]))
    assert [way.nodes for way in graph.walk("x", "breaker")] == [("x", "m1", "relay", "breaker")]


def test_a_vote_across_racks_is_a_network():
    legs = (Leg(("probe",), 1), Leg(("probe",), 2, across=True))
    found = walked(Way(legs, ("relay", "shutdown_logic"), (("breaker", "driver_breaker"),)))
    assert found.findings.networks == ("module 2 to relay",)
    assert BETWEEN_RACKS != DATA_LINK


def test_a_shared_module_is_counted_in_series_and_an_own_one_in_the_leg():
    finals = (("breaker", "driver_breaker"),)
    together = walked(Way((Leg(("probe",), 1), Leg(("probe",), 1)), ("relay",), finals))
    assert (together.leg, together.shared) == (("probe",), ("monitor_module",))
    apart = walked(Way((Leg(("probe",), 1), Leg(("probe",), 2)), ("relay",), finals))
    assert (apart.leg, apart.shared) == (("probe", "monitor_module"), ())

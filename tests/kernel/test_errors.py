import pickle

import pytest

from specapp.kernel.arguments import finite, fraction, non_negative, one_of, positive, whole
from specapp.kernel.errors import DomainError, KernelError, MissingInput, OutOfRange

NOT_NUMBERS = [float("nan"), float("inf"), float("-inf"), "3", None, True, [1.0]]


@pytest.mark.parametrize("kind", [DomainError, OutOfRange, MissingInput])
def test_every_kind_is_a_value_error_that_keeps_its_parts_and_survives_a_process_border(kind):
    error = pickle.loads(pickle.dumps(kind("speed_rpm", -1.0, "above 0 rpm", "rpm")))
    assert isinstance(error, KernelError)
    assert isinstance(error, ValueError)
    assert (error.name, error.value, error.limit, error.unit) == ("speed_rpm", -1.0, "above 0 rpm", "rpm")
    assert str(error).endswith(".")


@pytest.mark.parametrize("check", [finite, positive, non_negative, fraction, whole])
@pytest.mark.parametrize("value", NOT_NUMBERS)
def test_what_is_no_number_is_refused_by_name(check, value):
    with pytest.raises(DomainError) as caught:
        check("gap_mm", value)
    assert caught.value.name == "gap_mm"


@pytest.mark.parametrize(
    ("check", "last", "first_beyond"),
    [
        (positive, 5e-324, 0.0),
        (non_negative, 0.0, -5e-324),
        (fraction, 1.0, 1.0000001),
        (fraction, 0.0, -1e-9),
        (whole, 1, 0),
        (whole, 3.0, 3.5),
    ],
)
def test_each_side_of_every_limit(check, last, first_beyond):
    assert check("value", last) == last
    with pytest.raises(DomainError):
        check("value", first_beyond)


def test_one_of_does_not_take_true_for_one():
    one_of("group", 1, (1, 2))
    with pytest.raises(DomainError, match="one of 1, 2"):
        one_of("group", True, (1, 2))


def test_sentences():
    assert str(DomainError("size", "2 mm2", "one of 1 mm2")) == "size is '2 mm2'; it must be one of 1 mm2."
    assert str(OutOfRange("pfd_avg", 1.25, "below 1")) == (
        "pfd_avg is 1.25; the formula holds only for values below 1."
    )
    assert str(MissingInput("teeth")) == "teeth is missing."

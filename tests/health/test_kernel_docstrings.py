"""Every public calculation says what it takes, gives, refuses and rests on, and says it truly."""

import ast
import importlib
import inspect
import pkgutil
import re
from pathlib import Path

import pytest

import specapp.kernel
from specapp.kernel import errors

# Conversions between user text and numbers, documented by the table of kinds that they read.
NOT_CALCULATIONS = {"units", "unit_conversions"}
ROOT = Path(__file__).parents[2]


def calculations():
    for module in pkgutil.iter_modules(specapp.kernel.__path__):
        if module.name in NOT_CALCULATIONS:
            continue
        loaded = importlib.import_module(f"specapp.kernel.{module.name}")
        for name, function in inspect.getmembers(loaded, inspect.isfunction):
            if not name.startswith("_") and function.__module__ == loaded.__name__:
                yield pytest.param(function, id=f"{module.name}.{name}")


CALCULATIONS = list(calculations())


def sections(function):
    """Split a numpydoc docstring at its underlined headings."""
    parts = re.split(r"^(\w[\w ]*)\n-+\n", inspect.getdoc(function) or "", flags=re.MULTILINE)
    return {"summary": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def raised_by(function):
    """Name the errors of the kernel that the function itself raises."""
    tree = ast.parse(inspect.getsource(function))
    calls = (node.exc for node in ast.walk(tree) if isinstance(node, ast.Raise))
    names = {call.func.id for call in calls if isinstance(call, ast.Call) and isinstance(call.func, ast.Name)}
    return names & set(errors.__all__)


def test_the_calculations_are_found():
    assert len(CALCULATIONS) > 60


@pytest.mark.parametrize("function", CALCULATIONS)
def test_parameters_are_those_of_the_signature(function):
    documented = re.findall(r"^(\*?\w+) : \S", sections(function).get("Parameters", ""), flags=re.MULTILINE)
    signature = inspect.signature(function).parameters.values()
    expected = [("*" if each.kind is each.VAR_POSITIONAL else "") + each.name for each in signature]
    assert documented == expected


@pytest.mark.parametrize("function", CALCULATIONS)
def test_summary_returns_and_source_are_there(function):
    found = sections(function)
    assert re.match(r"(Return|Tell|Read|Raise)\b.*\.$", found["summary"].strip().splitlines()[0])
    assert found["Returns"].strip()
    source = re.search(r"^Source: (.+)$", found["Notes"], flags=re.MULTILINE)
    assert source
    assert source[1].strip()


@pytest.mark.parametrize("function", CALCULATIONS)
def test_errors_raised_are_told(function):
    told = set(re.findall(r"^(\w+)$", sections(function).get("Raises", ""), flags=re.MULTILINE))
    assert raised_by(function) <= told


@pytest.mark.parametrize("function", CALCULATIONS)
def test_checks_named_are_files(function):
    for path in re.findall(r"tests/\w+/\w+\.py", inspect.getdoc(function)):
        assert (ROOT / path).is_file()


@pytest.mark.parametrize(
    "path", sorted((ROOT / "tests/published").glob("test_*.py")), ids=lambda path: path.stem
)
def test_every_published_check_names_its_source(path):
    docstring = ast.get_docstring(ast.parse(path.read_text("utf-8")))
    assert docstring
    assert len(docstring) > 100

"""The hygiene of the rulebook: ids, reasons, cases, and that no criterion is dead."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path

import pytest

import specapp.rulebook.rules as rules_package
from specapp.criteria.loader import load_defaults
from specapp.rulebook import engine
from specapp.rulebook.registry import RULES, DuplicateRule, rule

ROOT = Path(__file__).parents[2]
CASES = ROOT / "tests" / "rulebook" / "cases"
RULE_FILES = sorted(Path(rules_package.__file__).parent.glob("*.py"))
SPECAPP = ROOT / "specapp"


def _rules_with_a_case() -> set[str]:
    named: set[str] = set()
    for path in CASES.glob("*.toml"):
        content = tomllib.loads(path.read_text(encoding="utf-8"))
        cases = [content] if "machine" in content else content.values()
        for case in cases:
            named |= set(case["rule"])
    return named


def test_every_rule_has_a_case():
    assert sorted(set(RULES) - _rules_with_a_case()) == []


def test_every_case_names_rules_that_exist():
    assert sorted(_rules_with_a_case() - set(RULES)) == []


def test_every_rule_says_why_in_one_sentence():
    for each in RULES.values():
        assert re.fullmatch(r"[A-Z]{3}-[A-Z]{3}-\d{3}", each.id)
        assert each.because.endswith("."), each.id
        assert each.status in ("published", "from memory", "common practice")
        assert each.source or each.status == "common practice", each.id


def test_an_id_is_registered_once():
    taken = next(iter(RULES))
    with pytest.raises(DuplicateRule, match=taken):
        rule(id=taken, title="again", phase=RULES[taken].phase)(lambda context: [])


def _names_read(path: Path) -> tuple[set[str], set[re.Pattern[str]]]:
    """Return the literal strings of a file, and its f-strings with a wildcard for what is filled in."""
    plain: set[str] = set()
    filled: set[re.Pattern[str]] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            plain.add(node.value)
        elif isinstance(node, ast.JoinedStr):
            parts = (re.escape(v.value) if isinstance(v, ast.Constant) else r"[\w]+" for v in node.values)
            text = "".join(parts)
            # Without a point in what is written it would be read as any key.
            if "\\." in text:
                filled.add(re.compile(text))
    return plain, filled


def test_every_criterion_is_read_by_the_rulebook():
    read = [_names_read(path) for path in [*RULE_FILES, *Path(engine.__file__).parent.glob("*.py")]]
    plain = set().union(*(names for names, _ in read))
    filled = set().union(*(patterns for _, patterns in read))
    keys = [each.key for each in load_defaults()]
    assert [k for k in keys if k not in plain and not any(p.fullmatch(k) for p in filled)] == []


def test_numbers_in_rules_are_named_or_trivial():
    """A threshold belongs to the criteria; what is left in a rule is a named constant or 0, 1, 2."""
    for path in RULE_FILES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        constants = {
            id(node)
            for statement in tree.body
            if isinstance(statement, ast.Assign | ast.AnnAssign)
            for node in ast.walk(statement)
        }
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Constant)
                and type(node.value) in (int, float)
                and id(node) not in constants
            ):
                inside = node.value in (0, 1, 2, 3, 4)
                assert inside, f"{path.name}:{node.lineno} has the number {node.value}"

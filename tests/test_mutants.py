"""The mutator: it changes what it says, keeps the rest, and knows a test that notices."""

import ast
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parent.parent / "bench"


@pytest.fixture(scope="module")
def mutants():
    sys.path.insert(0, str(BENCH))
    import mutants as module

    sys.path.remove(str(BENCH))
    return module


SOURCE = '''"""Words are left alone: 1 < 2."""
LINE = 3.0


def over(x: float, y: int = 2) -> bool:
    if not x < LINE:
        raise ValueError(f"{x} < 3")
    return x + y >= 4 and True
'''


def test_every_mutant_is_one_change_that_still_parses(mutants):
    found = list(mutants.mutants(SOURCE))
    plain = ast.unparse(ast.parse(SOURCE))
    assert len({one.text for one in found}) == len(found)
    for one in found:
        ast.parse(one.text)
        changed = [a != b for a, b in zip(plain.splitlines(), one.text.splitlines(), strict=True)]
        assert sum(changed) == 1
    changes = {one.change for one in found}
    assert {
        "3.0  ->  6.0",
        "3.0  ->  1.5",
        "x < LINE  ->  x <= LINE",
        "x + y  ->  x - y",
        "True  ->  False",
    } <= changes
    assert {"2  ->  3", "not x < LINE  ->  x < LINE", "4  ->  5"} <= changes
    assert not any("ValueError" in change or "Words" in change for change in changes)


def test_modules_and_tests_named_are_there(mutants):
    for module, tests in mutants.TESTS_OF.items():
        assert (mutants.ROOT / "thermlog" / f"{module}.py").exists(), module
        assert all((mutants.ROOT / "tests" / f"test_{name}.py").exists() for name in tests), module

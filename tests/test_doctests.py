"""The examples in the docstrings are run."""

import doctest
import importlib
import pkgutil

import pytest

import narrate2log

WITH_EXAMPLES = [
    module.name
    for module in pkgutil.walk_packages(narrate2log.__path__, "narrate2log.")
    if any(test.examples for test in doctest.DocTestFinder().find(importlib.import_module(module.name)))
]


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_examples(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples() -> None:
    assert "narrate2log.wording.folding" in WITH_EXAMPLES

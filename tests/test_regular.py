"""Expressions that are compiled late are compiled here: none waits with a mistake for the log of a user."""

from __future__ import annotations

import importlib
import pkgutil
import re

import thermlog.reading
from thermlog.words import regular as late
from thermlog.words.regular import regular


def test_every_expression_of_the_reader_is_one():
    names = [one.name for one in pkgutil.walk_packages(thermlog.reading.__path__, "thermlog.reading.")]
    found = [
        one
        for name in names
        for thing in vars(importlib.import_module(name)).values()
        for one in (thing.values() if isinstance(thing, dict) else [thing])
        if isinstance(one, late._Regular)
    ]
    assert len(found) > 50  # own number: else they were looked for in the wrong place
    for one in found:
        assert one.pattern


def test_it_does_what_a_compiled_one_does():
    own, usual = regular(r"(?P<word>a+)b", re.IGNORECASE), re.compile(r"(?P<word>a+)b", re.IGNORECASE)
    for name in ("fullmatch", "match", "search"):
        for text in ("AAb", "xab", ""):
            assert str(getattr(own, name)(text)) == str(getattr(usual, name)(text))
    assert own.sub("-", "xabx") == "x-x"
    assert own.findall("ab aab") == ["a", "aa"]

"""Every kind of rule, and every sentence that states one, found in the files of the folders beside this one.

A kind that is put there is found without being named anywhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib import import_module
from pkgutil import walk_packages
from types import ModuleType

from measure.rules import kinds as folder
from measure.rules.rule import Kind
from measure.rules.sentences.sentence_forms import SentenceForm, is_sentence_form


@cache
def kinds() -> tuple[Kind, ...]:
    """Every kind, in the order of its files."""
    found = (value for module in _modules() for value in vars(module).values() if isinstance(value, Kind))
    return tuple(dict.fromkeys(found))


@cache
def sentence_forms() -> Mapping[str, SentenceForm]:
    """What makes a rule of each of the grammar's nodes."""
    return {name: value for module in _modules() for name, value in vars(module).items() if is_sentence_form(value)}


@cache
def _modules() -> tuple[ModuleType, ...]:
    return tuple(import_module(name) for name in _names())


def _names() -> Iterator[str]:
    for found in walk_packages(folder.__path__, f"{folder.__name__}."):
        if not found.ispkg and found.name != __name__:
            yield found.name

"""Rules under a condition: the actions of grammar.txt for `if`, `when` and `unless`."""
# ruff: noqa: D103  (a function is the action of the production that names it in grammar.txt)

from __future__ import annotations

from dataclasses import replace

from measure.rules.speech.composing.composing import Found, every_that, of_several, stated
from measure.rules.speech.predicates.places_said import Predicate
from measure.rules.speech.predicates.sizes_said import Bounded
from measure.rules.speech.words.lexicon import Named
from measure.rules.speech.words.meanings import IT, Or, Said, Sentences, Whom


def given_that(who: Whom | Or, predicate: Predicate) -> Found:
    """`if a home is bigger than 5 sq in, it ...`: of each home that is."""
    if isinstance(who, Whom) and (who.quantifier == "any" or (who.quantifier == "a" and of_several(who))):
        return every_that(Named(who.names[0]), predicate)
    if (
        isinstance(who, Whom)
        and len(who.names) > 1
        and who.quantifier != "together"
        and not isinstance(predicate, Bounded)
    ):
        return None  # `if the park and the lake touch the school`: both of them, which no formula of one thing says
    return stated(who, predicate)


def _of_each(given: Said, said: Said) -> Said:
    """A condition on pieces one by one, with what then holds of that piece."""
    return Said("", given.formula + said.formula.replace(IT, f"that piece of {given.about}"))


def conditional(condition: Sentences, sentences: Sentences) -> Sentences | None:
    """`if there is a factory, it must be at least 10 in from the school`."""
    if len(condition) == 1 and IT in condition[0].text and sentences[0].about not in ("", IT):
        condition = (condition[0].of_it(sentences[0].about),)  # `unless it touches the green, the bank must ...`
    if len(condition) > 1 or any(IT in said.text for said in condition):
        return None
    given, about = condition[0], condition[0].about
    if given.formula.endswith(", then "):
        return tuple(_of_each(given, said) for said in sentences) if all(said.formula for said in sentences) else None
    if any(IT in said.text for said in sentences):
        if not about:
            return None
        sentences = tuple(said.of_it(about) for said in sentences)
    present = given.plain == f"there is a {about}"
    return tuple(_if(given, said, present) for said in sentences) if all(map(_sayable(present), sentences)) else None


def _if(given: Said, said: Said, present: bool) -> Said:
    plain = f"if {given.plain}, {said.plain}" if present and said.plain else ""
    return Said(plain, f"if {given.formula or given.plain}, then {said.formula}" if said.formula else "")


def _sayable(present: bool):  # type: ignore[no-untyped-def]
    return lambda said: said.formula or (present and said.plain)


def conditional_after(sentences: Sentences, condition: Sentences) -> Sentences | None:
    return conditional(condition, sentences)


def unless(condition: Sentences, sentences: Sentences) -> Sentences | None:
    given = condition[0]
    if len(condition) > 1 or not (given.formula or given.plain) or given.formula.endswith(", then "):
        return None
    about = sentences[0].about
    if IT in given.text and about not in ("", IT):
        given = replace(given.of_it(about), about=about)
    denied = Said("", f"not: {given.formula or given.plain}", given.about)
    if given.plain == f"there is a {given.about}":
        denied = Said("", f"there is no {given.about}", given.about)
    return conditional((denied,), sentences)


def unless_after(sentences: Sentences, condition: Sentences) -> Sentences | None:
    return unless(condition, sentences)

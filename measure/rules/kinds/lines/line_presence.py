"""`there is a road`, `there is no railway`: whether any piece of a line is there."""
# ruff: noqa: D102  (what a kind offers is explained in measure/rules/rule.py)

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar

from lark import Token

from measure.conformity import chance_all
from measure.quantity import Quantity
from measure.rules.amounts import Amount, Limit
from measure.rules.kinds.lines.line_words import net_in
from measure.rules.kinds.lines.open_ends import open_ends
from measure.rules.rule import Kind, Rule
from measure.rules.rule_context import Context
from measure.rules.sentences.said_limits import count_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import SaidLimit, Sentence
from measure.rules.setting import Setting
from measure.rules.sheet_text import Asked
from measure.rules.told import Teller, Told, counted, noun
from measure.rules.verdict import Claim, Findings, Unknown, verdict_of


@dataclass(frozen=True)
class LinePresence(Kind):
    """A limit on the number of a line's pieces."""

    name: ClassVar[str] = "line presence"
    counted: ClassVar[bool] = True

    def reads_as(self, rule: Rule) -> str:
        (line,), limit = rule.lines, rule.bound
        if limit.whole_bounds == (0, 0):
            return f"there is no {line}"
        if limit.whole_bounds == (1, None):
            return f"there is a {line}"
        one = (limit.upper or limit.amount).number == 1
        return f"there {'is' if one else 'are'} {limit} {'piece' if one else 'pieces'} of {line}"

    def told(self, rule: Rule, teller: Teller) -> Told:
        line = noun(rule.lines[0])
        found = f"{line} {'have' if line.plural else 'has'} {counted(teller.number, 'piece', 'pieces')}"
        least, most = rule.bound.whole_bounds
        if (least, most) == (0, 0):
            return found, f"{line.they} must not be there"
        return found, f"{line.they} must {'be there' if (least, most) == (1, None) else f'have {teller.asked()}'}"

    def findings(self, rule: Rule, context: Context) -> Findings:
        (line,), net = rule.lines, net_in(context)
        if net.unread(line):
            return Findings((Unknown("it cannot be told where {} runs", (line,)),), rule.bound.stated)
        claims = [Claim((Quantity(float(c)),), *rule.bound.whole_bounds, (line,)) for c in self._counts(line, context)]
        if len({verdict_of(chance_all([claim.event])) for claim in claims}) > 1:
            return Findings((Unknown("pieces of {} with hidden ends may be one", (line,)),), rule.bound.stated)
        return Findings(tuple(claims[:1]), rule.bound.stated)

    def _counts(self, line: str, context: Context) -> range:
        """How many pieces there may be: as many as show, and fewer where some may hang together unseen."""
        pieces, going_on = len(net_in(context).pieces(line)), {number for number, _ in open_ends(line, context)}
        return range(pieces, pieces - max(1, len(going_on)), -1)

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        line, (least, most) = noun(rule.lines[0]), rule.bound.whole_bounds
        if most is None and least > 1:
            must = f"There must be at least {least} pieces of {line}. One is laid."
            return Asked(f"{must} How many more must be laid, at least?", f"{least - 1}", f"{least} - 1")
        if least == 0 and most is not None and most > 1:
            may = f"There may be at most {most} pieces of {line}. One is laid."
            return Asked(f"{may} How many more may be laid, at most?", f"{most - 1}", f"{most} - 1")
        if (least, most) == (0, 0):
            return Asked(f"How many pieces of {line} may there be?", "none", "read the rule")
        return Asked(f"How many pieces of {line} must there be?", str(rule.bound), "read the rule")

    def number_said(self, rule: Rule) -> bool:
        return rule.bound.amount.number > 1


PRESENCE = LinePresence()


@sentence_form
def there_is_line(sentence: Sentence, line: Token) -> Rule:
    """`there is a road`."""
    return Rule(PRESENCE, limit=Limit("at least", Amount(Fraction(1))), lines=(str(line.value),))


@sentence_form
def there_is_no_line(sentence: Sentence, line: Token) -> Rule:
    """`there is no railway`."""
    return Rule(PRESENCE, limit=Limit("exactly", Amount(Fraction(0))), lines=(str(line.value),))


@sentence_form
def there_are_lines(sentence: Sentence, said: SaidLimit, line: Token) -> Rule:
    """`there are at least 2 pieces of road`."""
    return Rule(PRESENCE, limit=count_limit(sentence, said), lines=(str(line.value),))


@sentence_form
def there_are_these(sentence: Sentence, said: SaidLimit, lines: tuple[Token, ...]) -> Rule:
    """`there is exactly one railway`, `there are two roads`: pieces of it."""
    if len(lines) > 1:
        sentence.refuse("write a rule for each line")
    return there_are_lines(sentence, said, lines[0])

"""A clause in one form, so that patterns need not know every way of asking.

`Put the pond in a corner` is `Z0 is in corner`: articles, words of asking and of stress are left out, all ways of lying
somewhere are `is`, and a denial is one `not` before the verb. What is not known stays, so that no pattern takes it.
"""

from __future__ import annotations

import re

_LAND = r"(?:board|parcel|map|site|plot|baseboard|base board|mat|sheet|base|land)"
_PIECE = r"(?:pieces?|plots?|patch(?:es)?|groups?|clusters?|lots?|sections?)"
_WHO = r"(?:(?:every|each|all|any|no|some|both|N\d+|one) )?Z\d+(?:(?: ?, Z\d+)* (?:and|or) Z\d+)?"
_PLACED = (
    r"(?:placed|put|located|built|situated|positioned|set|laid|laid out|taped|drawn|kept|found|sited|tucked|"
    r"parked|planted|planned|made|left|marked|arranged)(?! (?:up)?on$)"
)
_PUT = (
    r"(?:put|place|build|make|draw|tape|keep|leave|set|locate|position|have|let|get|site|situate|lay|arrange|plant|stick|tuck|park|"
    r"pop|plonk|chuck|drop|plan|design|shape|fit|squeeze)"
)
_VERB = (
    r"(?:is|not|may|has|touch|touches|cover|covers|reach|reaches|hug|hugs|run|runs|border|borders|share|shares|overlap|overlaps|"
    r"cross|crosses|separate|separates|divide|divides|surround|surrounds|face|faces|look|looks|stretch|stretches|line|lines|"
    r"join|joins|connect|connects|link|links|form|forms|meet|meets|follow|follows|flow|flows|hold|holds|house|houses|form|cut|cuts)"
)
_STEPS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), made)
    for pattern, made in (
        (r"\b(must|should|is|are|was|were|has|have|does|do|did|would|could)n't\b", r"\1 not"),
        (r"\b(?:can't|cannot)\b", "can not"),
        (r"\bneedn't\b", "need not"),
        (
            r"\b(?:not|never) (?:have|has|need|needs|required|necessary|obliged|necessarily)\b(?: to)?|\bneed not\b",
            "optionally",
        ),
        (r"\bwon't\b", "will not"),
        (r"\bshan't\b", "shall not"),
        (r"(?<=[A-Z]\d) 's (?:got|gotta) to\b", " must"),
        (
            r"(?<=[A-Z]\d) 's (?=(?:across|in|on|at|next|between|inside|round|beside|along|near)\b)",
            " is ",
        ),
        (r"(?<=[A-Z]\d) '(?:s)? (?=(?:buildings?|structures?|towers?|blocks?)\b)", " "),
        (r"\b(?:it|they|you|we)'(?:ll|ve got to|s got to)\b", " must"),
        (
            r"(?<!not )\b(?:please|kindly|simply|also|too|always|really|actually|completely|entirely|wholly|"
            r"fully|totally|clearly|truly|ever|the|your|our|my|their|these|those|own|somewhere|definitely|certainly|"
            r"neatly|nicely|of course|for sure)\b",
            "",
        ),
        (r"\b(?:an?)\b(?= Z\d)", "a"),
        (r"\b(?:an?|any)\b(?! Z\d| other| zone| building| structure| tower| piece| part)", ""),
        (rf"\b(every|each|all|any|no|both|N\d+) (?:single )?{_PIECE} (?:of )?(?=Z\d)", r"\1 "),
        (rf"(?<=[A-Z]\d) (?:zones?|district|{_PIECE})\b(?! of)", ""),
        (rf"\b{_PIECE} of (?=Z\d)", ""),
        (
            r"\b(?:has|have) (?:got )?to\b|\b(?:needs?|ought|got|wants?) to\b|\b(?:is|are) (?:to|supposed to|"
            r"required to|meant to|expected to)\b",
            "must",
        ),
        (
            r"\b(?:may|can|could|must|should|shall|will|would|is|are|be|do|does) (?:not|never)(?: be)? "
            r"(?:allowed|permitted) to\b",
            "not",
        ),
        (r"\b(?:is|are|be) (?:allowed|permitted|free|welcome) to\b|\b(?:can|could|might)\b(?! not)", "may"),
        (r"\b(?:may|can|could|must|should|shall|will|would|do|does|did) (?:not|never)\b", "not"),
        (r"\bnever\b|\b(?:at|under) no (?:time|point|circumstances)\b", "not"),
        (r"\b(?:must|should|shall|will|would)\b", ""),
        (rf"\b(?:be|is|are|being|get|gets) {_PLACED}\b", "is"),
        (
            r"\b(?:be|are|is|being|lies?|lying|sits?|sitting|stands?|standing|stays?|staying|remains?|"
            r"belongs?|goes|go|ends? up|nestles?|rests?|perch(?:es)?)\b"
            r"(?! (?:from|all|across|over|through|under|past|up|down|right across|beyond))",
            "is",
        ),
        (r"\b(?:have|having|contains?|features?|includes?|owns?|gets?(?= (?:only )?[PFANDL]\d))\b", "has"),
        (r"\bis(?: is)+\b", "is"),
        (r"\bis not\b", "not is"),
        (r"\s+", " "),
        (r"^ | $", ""),
        (
            r"^(?:(?:make|be) (?:sure|certain)|see to it|ensure|check|remember|i want|we want|i need|we need|"
            r"it is important|note)"
            r"(?: that| to)? (?=\w+ )",
            "",
        ),
        (rf"^(?:do |does |did )({_WHO}) ", r"\1 "),
        (rf"^is ({_WHO}) ", r"\1 is "),
        (rf"^(not )?{_PUT} ({_WHO}) (?={_VERB}\b)", r"\2 \1"),
        (rf"^(not )?{_PUT} ({_WHO}) ", r"\2 \1is "),
        (rf"^(not )?give ({_WHO}) ", r"\2 \1has "),
        (rf" of {_LAND}\b", ""),
        (rf"\b{_LAND} 's\b", ""),
        (r"\bis(?: is)+\b", "is"),
        (r"\s+", " "),
        (r"^[ ,;:.!?]+|[ ,;:.!?]+$", ""),
    )
)


def in_one_form(text: str) -> str:
    """The text of a gist in that form."""
    for pattern, made in _STEPS:
        text = pattern.sub(made, text)
    return text

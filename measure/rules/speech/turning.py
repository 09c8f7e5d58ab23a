"""What beside a rule turns it round or says for whom it holds: `Danger: ...`, `For big teams, ...`, `... No way!`.

Such words name no zone and no number, and yet the rule is not what is left without them.
"""

from __future__ import annotations

import re

_LABEL = re.compile(r"^\W*(?P<words>[^\W\d_][\w'’-]*(?:\s+[\w'’&/-]+){0,2})\s*(?::|\s[–—-])\s*$")
_KIND = re.compile(
    r"(?:rules?|laws?|code|limits?|caps?|budgets?|risks?|buffers?|setbacks?|conditions?|requirements?|criteri(?:on|a)|"
    r"regulations?|specs?|specifications?|constraints?|challenges?|tasks?|goals?|targets?|points?|reminders?|notes?|"
    r"problems?|puzzles?|riddles?|clues?|levels?|standards?|polic(?:y|ies)|zoning|order|facts?|briefs?|check|checks|"
    r"security|safety|health|comfort|privacy|access|fairness|hygiene|noise|quiet|peace|smoke|smells?|emissions?|air|"
    r"pollution|water|waters|irrigation|drainage|floods?|flooding|rain|storms?|fire|fires|energy|power|light|sun|shade|"
    r"views?|skylines?|heights?|sizes?|areas?|spaces?|shapes?|distances?|gaps?|layouts?|lands?|density|sprawl|growth|"
    r"housing|living|homes?|people|play|leisure|sports?|food|farming|trade|shopping|jobs?|work|industry|school(?:ing)?|"
    r"learning|transport|traffic|travel|walking|cycling|parking|roads?|streets?|paths?|nature|wildlife|animals?|plants?|"
    r"habitats?|environment|climate|greenery|green|ecology|conservation|heritage|culture|beauty|landscape|surfaces?|"
    r"materials?|costs?|money|services?|neighbou?rs?|neighbou?rhoods?|community|everyone|remember|please|listen|"
    r"important|attention|ok(?:ay)?|yes|so|also|and|therefore|hence|thus|first|firstly|second|secondly|third|thirdly|"
    r"next|then|finally|last|lastly|this|that|these|those|following|it)",
    re.IGNORECASE,
)
"""The last word of a label that names a subject or a kind of rule."""
_OURS = re.compile(
    r"\W*(?:our|we|please|remember|everyone|everybody|all|the|your|my|and|by|as|in|for)\b", re.IGNORECASE
)
_FRONTED = re.compile(
    r"^\W*(?:in|at|for|on|with|under|by|during|after|before|upon|off|out)\s[^,:.!?]*,\s*$", re.IGNORECASE
)
_HARMLESS = re.compile(
    r"^\W*(?:for (?:the sake of .+|(?:(?:better|good|our|your|their|everyone's|more|the|fire|public|road|[a-z]+) )*"
    r"(?:safety|health|comfort|privacy|peace|quiet|fairness|reasons?|hygiene|beauty|nature|protection|security|sake))|"
    r"in (?:order (?:not )?to .+|fact|short|general|other words|addition|summary|the end|real life|"
    r"(?:our|this|your|the|a|my|every|any) (?:[a-z]+ )*(?:villages?|towns?|cit(?:y|ies)|settlements?|colon(?:y|ies)|"
    r"valleys?|plans?|challenge|world|game|project|model|maps?|country|place|class|class ?room|school|case|camps?|"
    r"stations?|bases?|islands?|parks?|zoos?|layouts?|design))|"
    r"on (?:(?:our|this|your|the) (?:[a-z]+ )*(?:boards?|maps?|islands?|planets?|tables?|mats?|parcels?|plans?|moon|"
    r"mars|land|model)|top of that|the other hand)|at (?:all times|any rate|the same time|any time)|"
    r"by (?:law|order.*|the way|area|decree|size|land)|with (?:.+ in mind|respect to .+|regard to .+|that|this)|"
    r"under (?:the|our|this) (?:[a-z]+ )*(?:laws?|rules?|code|plan)|after all|before (?:anything|everything) else)"
    r"\W*$",
    re.IGNORECASE,
)
_FOR_SOME = re.compile(
    r"\bfor\s+(?:(?:the|all|our|your|any|an?)\s+)?(?:[a-z-]+\s+)?(?:teams?|groups?|pupils?|students?|boys|girls|"
    r"beginners?|experts?|players?|builders?|classes|tables?|grades?|graders?|badges?|stars?|prizes?|medals?|levels?|"
    r"credits?|bonus\w*|extras?|older \w+|younger \w+|advanced \w+)\W*$",
    re.IGNORECASE,
)
_TAKES_BACK = re.compile(
    r"\b(?:no way|excused?|exempted|whether|dream(?:s|ed|t|ing)?|rumou?rs?|mistakes?|mistaken|penalt(?:y|ies)|beware|"
    r"bad (?:idea|plan|rule|choice|move|layout|design)s?|not ok(?:ay)?|most of (?:it|them)|some of (?:it|them)|"
    r"part of (?:it|them)|half of (?:it|them)|maybe|perhaps|possibly|probably|hopefully|in theory|at best|with luck|"
    r"on request|drafts?|pretend\w*|nonsense|not really|not true|as a joke|good grief|what a (?:pity|shame|mess))\b"
    r"|(?:hates?|dislikes?|complain\w*|cr(?:y|ies)|regrets?|fears?|minds?|objects? to|against)\s+(?:[a-z]+\s+)?"
    r"(?:that|this|it|so)\b"
    r"|\b(?:when|if|where|whenever)\s+(?:that|this|it) happens\b"
    r"|(?:^|[.!?]\s*)(?:rarely|seldom|hardly|sometimes|usually|occasionally|never|not)\W*$"
    r"|^\W*(?:some|other|big|small|most|few|older|younger|advanced)\s+(?:teams?|groups?|pupils?|students?|kids)\s*[:,–—-]"
    r"|\bso (?!that\b)[a-z]+ that\b"
    r"|^\W*(?:bad|danger|warning|wrong|caution|alarm|stop|imagine|suppose)\s*[:!–—-]",
    re.IGNORECASE,
)
_JUDGED = re.compile(
    r"(?:^|[.!?;:,–—-]\s*|\b(?:and|but|because|since|as)\s+)(?:that|this|it)"
    r"(?:(?:'d|'ll)|\s+(?:would|could|might|will|wo|should|must|may|can))\b"
    r"(?!\s*(?:help|keep|make it (?:easy|safe)|let|give))",
    re.IGNORECASE,
)
"""`That would be a shame.`: said of the rule."""
_BADLY = re.compile(
    r"(?:^|[.!?;:,–—-]\s*)(?:that|this)(?:'s|\s+is|\s+was)\s+(?:(?:a|an|so|very|really|too|quite|just|not|such)\s+)*"
    r"(?:bad|sad|awful|terrible|horrible|wrong|unfair|dangerous|stupid|silly|shame|pity|mess|problem|disaster|pointless|"
    r"ugly|nasty|unsafe|unhealthy|mean|crazy|mad|over|past|history|fine|okay|ok)\b",
    re.IGNORECASE,
)
_BECAUSE = re.compile(r"\W*(?:because|since)\b", re.IGNORECASE)
_MERELY = re.compile(r"\b(?:just|only|merely|simply|not|solely|purely|mainly)\W*$", re.IGNORECASE)
_REASONED = re.compile(r"(?:^\s*|[,;:.!–—-]\s*)(?:because|since|so|as|therefore|hence|thus|for|to)\b", re.IGNORECASE)
_ENDED = re.compile(r"[.!?]\s*$")
_DEMAND = re.compile(
    r"\b(?:must|should|shall|ought|ha(?:s|ve) to|needs?|may|can|cannot|will|wants?|required|supposed|allowed|"
    r"keep|put|place|leave|make|build|give|let|use|set|have|do|go|goes|not|no|none|never|only|at least|at most|more|"
    r"less|fewer|exactly|between|max\w*|min\w*|every|each|all)\b|n't\b|\d|[<>=≤≥]",
    re.IGNORECASE,
)


def turns_round(before: str, kept: str, after: str) -> bool:
    """Whether what stands around the rule that is kept may turn it round, take it back, or say for whom it holds."""
    if _BECAUSE.match(kept) and re.search(r"\w", before):
        return True  # `Fish die because the factory touches the lake`: what is kept is the reason
    if _MERELY.search(kept) and _BECAUSE.match(after):
        return True  # `must not touch the lake just because kids like it`: it may for another reason
    if takes_back(before) or takes_back(after) or _JUDGED.search(after) or is_limiting_label(before):
        return True
    return not _DEMAND.search(kept) and _is_story(before, kept, after)


def takes_back(beside: str) -> bool:
    """Whether words beside a rule say that it is wrong, unsure, or for some only."""
    return any(pattern.search(beside) for pattern in (_TAKES_BACK, _BADLY, _FOR_SOME))


def _is_story(before: str, kept: str, after: str) -> bool:
    """`People complain. The factory touches the lake.`: a plain statement among sentences may tell of what is wrong."""
    leads = bool(_ENDED.search(before)) and not _REASONED.match(kept)
    goes_on = bool(re.search(r"\w", after)) and bool(_ENDED.search(kept)) and not _REASONED.match(after)
    return leads or goes_on


def is_limiting_label(text: str) -> bool:
    """Whether a label or a phrase before a comma is none of those that are known to say nothing of the rule.

    `Water rule:` names a subject; `Team A:`, `Penalty:` and `On request,` say for whom or whether it holds.
    """
    label = _LABEL.match(text)
    if label is not None and not _OURS.match(text):
        return _KIND.fullmatch(label["words"].split()[-1]) is None
    return _FRONTED.match(text) is not None and _HARMLESS.match(text) is None

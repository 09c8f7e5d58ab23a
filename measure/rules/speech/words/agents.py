"""Words for those who build, whom a rule may address: patterns."""

from __future__ import annotations

MANY = (
    "students|pupils|kids|children|learners|teams|groups|pairs|partners|tables|classes|players|builders|designers|"
    "planners|town planners|city planners|engineers|architects|mapmakers|map makers|makers|surveyors|crews|"
    "developers|participants|folks|boys and girls|class|squads|contractors|creators|inventors|model makers|"
    "modelers|modellers|mathematicians"
)
ONE = (
    "student|pupil|child|kid|learner|team|group|pair|table|class|player|builder|designer|planner|engineer|architect|"
    "mapmaker|crew|developer|participant|squad|contractor|model maker"
)
OWN = rf"(?:your|our|my|the|this)\s+(?:{ONE}|{MANY})"
ALL_OF = rf"(?:(?:all|all of)\s+)?(?:(?:the|you|our|my|your|young|dear)\s+)*(?:{MANY})"
EACH_OF = (
    rf"(?:each|every|every single|any)\s+(?:{ONE})(?:\s+of\s+(?:\d|two|three|four|five|six)\b)?|"
    rf"(?:each|every one) of (?:your|the|our) (?:{MANY})"
)
EVERYONE = (
    "everyone|everybody|each of you|all of you|you all|you guys|y'all|you and your (?:team|group|partners?|class)"
)
AGENT = rf"(?:{EACH_OF}|{ALL_OF}|{OWN}|{EVERYONE})"

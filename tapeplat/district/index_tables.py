"""The index's tables in PostgreSQL, in a schema of their own: what one row holds of an attempt.

Nothing stands in them that is not in the schools' files; dropping the schema `tapeplat` loses nothing.  Of teams they
hold what `archive list` shows, and each rule's verdict: names of teams, no picture, no outline, no note.  No statistics
are kept of columns with teams' names: those would stay in the server's catalogue when a team is erased.
"""

from __future__ import annotations

from collections.abc import Callable

from tapeplat.archive.storage.entry_index import entry_text
from tapeplat.archive.storage.folder_names import same_key, team_folder
from tapeplat.district.filed_attempt import FiledAttempt, writable

FORM = 3
"""Raised whenever a table changes; an index of another form is made anew."""
WORDS = ("met", "not met")
"""Verdicts that are counted by themselves; all others are undecided. Their places here, from 1, stand for them."""

TABLES = """
DROP SCHEMA IF EXISTS tapeplat CASCADE;
CREATE SCHEMA tapeplat;
CREATE TABLE tapeplat.about (form integer NOT NULL, root text NOT NULL, filled timestamptz);
CREATE TABLE tapeplat.unreadable (folder text PRIMARY KEY);
CREATE TABLE tapeplat.rules (rule integer PRIMARY KEY, key text NOT NULL, text text COLLATE "C" NOT NULL);
CREATE TABLE tapeplat.attempts (
    folder text COLLATE "C" PRIMARY KEY, stamp text NOT NULL, place text COLLATE "C" NOT NULL,
    id text COLLATE "C" NOT NULL,
    school text COLLATE "C" NOT NULL, school_key text NOT NULL, year integer NOT NULL,
    title text COLLATE "C" NOT NULL, title_key text NOT NULL, home text NOT NULL, team_key text NOT NULL,
    attempt integer NOT NULL, met integer NOT NULL, entry text NOT NULL,
    rules integer[] NOT NULL, verdicts smallint[] NOT NULL
);
ALTER TABLE tapeplat.attempts ALTER folder SET STATISTICS 0, ALTER place SET STATISTICS 0, ALTER id SET STATISTICS 0,
    ALTER home SET STATISTICS 0, ALTER team_key SET STATISTICS 0, ALTER entry SET STATISTICS 0;
CREATE INDEX ON tapeplat.attempts (place);
CREATE INDEX ON tapeplat.attempts (school_key, place);
CREATE INDEX ON tapeplat.attempts (title_key, place);
CREATE INDEX ON tapeplat.attempts (year, place);
CREATE INDEX ON tapeplat.attempts (team_key, attempt, place);
CREATE INDEX ON tapeplat.attempts (id);
CREATE INDEX ON tapeplat.attempts (reverse(id));
CREATE MATERIALIZED VIEW tapeplat.challenges AS
    SELECT school, school_key, year, title_key, min(title) AS title,
        count(DISTINCT home) AS teams, count(*) AS attempts,
        sum(met) FILTER (WHERE before = 1) AS first_met,
        sum(cardinality(rules)) FILTER (WHERE before = 1) AS first_rules,
        sum(met) FILTER (WHERE after = 1) AS last_met, sum(cardinality(rules)) FILTER (WHERE after = 1) AS last_rules
    FROM (SELECT *, row_number() OVER (team ORDER BY place) AS before,
            row_number() OVER (team ORDER BY place DESC) AS after
        FROM tapeplat.attempts WINDOW team AS (PARTITION BY school, year, title_key, home)) AS counted
    GROUP BY school, school_key, year, title_key;
CREATE MATERIALIZED VIEW tapeplat.rule_counts AS
    SELECT last.school, last.school_key, last.year, last.title_key, challenges.title, min(rules.text) AS rule,
        count(*) AS teams, count(*) FILTER (WHERE verdict = 1) AS met, count(*) FILTER (WHERE verdict = 2) AS not_met
    FROM (SELECT DISTINCT ON (school, year, title_key, home) * FROM tapeplat.attempts
        ORDER BY school, year, title_key, home, place DESC) AS last
    CROSS JOIN LATERAL unnest(last.rules, last.verdicts) AS said(rule, verdict)
    JOIN tapeplat.rules AS rules ON rules.rule = said.rule
    JOIN tapeplat.challenges AS challenges ON (challenges.school, challenges.year, challenges.title_key)
        = (last.school, last.year, last.title_key)
    GROUP BY last.school, last.school_key, last.year, last.title_key, challenges.title, rules.key;
"""

READERS = """
SELECT NULL AS name, 'GRANT USAGE ON SCHEMA tapeplat TO ' || CASE grantee WHEN 0 THEN 'PUBLIC'
    ELSE quote_ident(pg_get_userbyid(grantee)) END
FROM pg_namespace, aclexplode(nspacl) WHERE nspname = 'tapeplat' AND privilege_type = 'USAGE'
UNION ALL
SELECT 'tapeplat.' || quote_ident(relname), 'GRANT SELECT ON tapeplat.' || quote_ident(relname) || ' TO '
    || CASE grantee WHEN 0 THEN 'PUBLIC' ELSE quote_ident(pg_get_userbyid(grantee)) END
FROM pg_class, aclexplode(relacl)
WHERE relnamespace = to_regnamespace('tapeplat') AND relkind IN ('r', 'm') AND privilege_type = 'SELECT'
"""
"""Of each right to read: the table, where it is of one, and the line that gives it anew."""

COLUMNS = (
    "folder, stamp, place, id, school, school_key, year, title, title_key, home, team_key, attempt, met, entry, rules, "
    "verdicts"
)


def row(attempt: FiledAttempt, stamp: str, rule_number: Callable[[str, str], int]) -> tuple[object, ...]:
    """An attempt as COLUMNS has it; rule_number gives the number of a rule's key and text."""
    entry = attempt.entry
    numbers = [rule_number(rule.key, rule.text) for rule in attempt.rules]
    verdicts = [WORDS.index(rule.verdict) + 1 if rule.verdict in WORDS else 0 for rule in attempt.rules]
    names = (attempt.school, same_key(attempt.school), attempt.year, attempt.title, attempt.title_key, attempt.home)
    rest = (team_folder(entry.team), entry.attempt, attempt.met, entry_text(entry), numbers, verdicts)
    return (attempt.folder, stamp, attempt.place, writable(entry.id), *names, *rest)

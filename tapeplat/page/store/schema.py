"""The tables of the page's SQLite file, as steps that bring an older file up to date; append, never change one.

Times are seconds since 1970.  `challenge` is the slug of a challenge's file.
"""

from __future__ import annotations

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        "CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT",
        # The class that works on a challenge: its code, and what is open to the students.
        """CREATE TABLE class (
            challenge TEXT PRIMARY KEY, code TEXT NOT NULL UNIQUE, teams INTEGER NOT NULL DEFAULT 8,
            tries INTEGER NOT NULL DEFAULT 3,
            entry_open INTEGER NOT NULL DEFAULT 0, plan_open INTEGER NOT NULL DEFAULT 1,
            picture_open INTEGER NOT NULL DEFAULT 0, verdicts_open INTEGER NOT NULL DEFAULT 0) STRICT""",
        """CREATE TABLE team (
            challenge TEXT NOT NULL REFERENCES class (challenge) ON DELETE CASCADE, number INTEGER NOT NULL,
            name TEXT NOT NULL DEFAULT '', secret TEXT NOT NULL DEFAULT '',
            PRIMARY KEY (challenge, number)) STRICT""",
        # Photos that wait to be measured, are being measured, or were.
        """CREATE TABLE job (
            id INTEGER PRIMARY KEY, challenge TEXT NOT NULL, team TEXT NOT NULL, state TEXT NOT NULL
            CHECK (state IN ('waiting', 'measuring', 'done', 'refused', 'failed')),
            tries INTEGER NOT NULL DEFAULT 0, message TEXT NOT NULL DEFAULT '', entry TEXT NOT NULL DEFAULT '',
            origin TEXT NOT NULL DEFAULT 'teacher', made REAL NOT NULL, changed REAL NOT NULL) STRICT""",
        """CREATE TABLE photo (
            job INTEGER NOT NULL REFERENCES job (id) ON DELETE CASCADE, position INTEGER NOT NULL,
            stored TEXT NOT NULL, given TEXT NOT NULL, PRIMARY KEY (job, position)) STRICT""",
        """CREATE TABLE upload_key (
            digest TEXT PRIMARY KEY, challenge TEXT NOT NULL, expires REAL NOT NULL) STRICT""",
        # What a team measured by hand, every try of it; fields are those of the hand measurements' CSV.
        """CREATE TABLE hand_entry (
            id INTEGER PRIMARY KEY, challenge TEXT NOT NULL, team INTEGER NOT NULL, who TEXT NOT NULL DEFAULT '',
            zone TEXT NOT NULL, piece TEXT NOT NULL DEFAULT '', quantity TEXT NOT NULL, other TEXT NOT NULL DEFAULT '',
            value TEXT NOT NULL, unit TEXT NOT NULL, method TEXT NOT NULL, division TEXT NOT NULL,
            agrees INTEGER, hint TEXT NOT NULL DEFAULT '', made REAL NOT NULL) STRICT""",
        "CREATE INDEX hand_entry_of ON hand_entry (challenge, team)",
        """CREATE TABLE structures (
            challenge TEXT NOT NULL, team TEXT NOT NULL, csv TEXT NOT NULL, changed REAL NOT NULL,
            PRIMARY KEY (challenge, team)) STRICT""",
        """CREATE TABLE plan (
            challenge TEXT NOT NULL, team INTEGER NOT NULL, outlines TEXT NOT NULL, changed REAL NOT NULL,
            PRIMARY KEY (challenge, team)) STRICT""",
    ),
    (
        # A team's plans, each saved state of them; `pieces` is JSON, see plan.plan_form.
        "DROP TABLE plan",
        """CREATE TABLE plan (
            id INTEGER PRIMARY KEY, challenge TEXT NOT NULL, team INTEGER NOT NULL, number INTEGER NOT NULL,
            pieces TEXT NOT NULL, made REAL NOT NULL, UNIQUE (challenge, team, number)) STRICT""",
        # The attempt (the archive's id) whose photo a number is compared with; empty until one is measured.
        # asked is 0 where the number came when there was no try left: it is kept, and never compared.
        "ALTER TABLE hand_entry ADD COLUMN attempt TEXT NOT NULL DEFAULT ''",
        "ALTER TABLE hand_entry ADD COLUMN asked INTEGER NOT NULL DEFAULT 1",
        # Further tries that the teacher gave, of one measured quantity (see student.answers) of one attempt.
        """CREATE TABLE more_tries (
            challenge TEXT NOT NULL, team INTEGER NOT NULL, attempt TEXT NOT NULL, subject TEXT NOT NULL,
            tries INTEGER NOT NULL, PRIMARY KEY (challenge, team, attempt, subject)) STRICT""",
    ),
    (
        # What the archive knows a class by, for good: neither its challenge's title nor a copy changes it.
        "ALTER TABLE class ADD COLUMN id TEXT NOT NULL DEFAULT ''",
        "UPDATE class SET id = lower(hex(randomblob(8)))",
        "CREATE UNIQUE INDEX class_id ON class (id)",
        # What the teacher calls it, `4b`; empty where there is but one.
        "ALTER TABLE class ADD COLUMN name TEXT NOT NULL DEFAULT ''",
    ),
    (
        # Browsers that came in and did not leave.
        """CREATE TABLE visit (
            id INTEGER PRIMARY KEY, digest TEXT NOT NULL UNIQUE, role TEXT NOT NULL, challenge TEXT NOT NULL DEFAULT '',
            team INTEGER NOT NULL DEFAULT 0, device TEXT NOT NULL DEFAULT '', address TEXT NOT NULL DEFAULT '',
            began REAL NOT NULL, seen REAL NOT NULL) STRICT""",
    ),
    (
        # Changes that arrived, by the name that their browser gave them, and where each goes on to.
        "CREATE TABLE received (digest TEXT PRIMARY KEY, go TEXT NOT NULL, made REAL NOT NULL) STRICT",
        # The same of a model's photos, with its team; empty where the browser gave no name.
        "ALTER TABLE job ADD COLUMN sent_as TEXT NOT NULL DEFAULT ''",
        "CREATE UNIQUE INDEX job_sent_as ON job (sent_as) WHERE sent_as <> ''",
    ),
)

"""What other computers and databases need is loaded where it is asked for alone."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tapeplat.archive import Archive
from tests.helpers.made.attempts import attempt
from tests.helpers.paths import SAMPLES


def test_neither_dask_nor_the_database_is_loaded_without_its_option(tmp_path: Path) -> None:
    """Loading Dask takes longer than measuring a small photo."""
    Archive(tmp_path / "hill").save(attempt())
    (tmp_path / "photos").mkdir()
    program = (
        "import sys; from click.testing import CliRunner; from tapeplat.cli.main import main\n"
        "for line in (['list'], ['list', '--schools', sys.argv[1]], ['statistics', '--schools', sys.argv[1]]):\n"
        "    done = CliRunner().invoke(main, ['archive', *line])\n"
        "    assert done.exit_code == 0, done.output\n"
        "done = CliRunner().invoke(main, ['class', sys.argv[2], sys.argv[1] + '/photos'])\n"
        "assert 'there is no photo in it' in done.output, done.output\n"
        "assert not {'distributed', 'dask', 'tornado', 'psycopg'} & set(sys.modules), 'loaded'"
    )
    line = [sys.executable, "-c", program, str(tmp_path), str(SAMPLES / "quarry-lake-4.toml")]
    subprocess.run(line, check=True, timeout=120)

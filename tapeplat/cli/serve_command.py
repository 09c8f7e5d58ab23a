"""`tapeplat serve`: the page for teacher and students."""

from __future__ import annotations

from pathlib import Path

import click

from tapeplat.cli.common.archive_options import archive_folder_option
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.whole_number import WholeNumber

PORT = 8417


@click.command("serve", cls=OwnCommand)
@click.option("--port", type=WholeNumber(1, 65535), default=PORT, show_default=True, help="The page's port.")
@click.option("--share", is_flag=True, help="Let phones and pupils' devices on the same network open the page, too.")
@click.option("--data", type=click.Path(file_okay=False, path_type=Path), help="Folder for challenges and class data.")
@archive_folder_option
@click.option("--no-browser", is_flag=True, help="Do not open the browser.")
def serve(port: int, share: bool, data: Path | None, archive_folder: Path | None, no_browser: bool) -> None:
    """Open the page in the browser, for the teacher and the students.

    Without --share only this computer can open it. With --share everybody on the same network can; the teacher's part
    then needs a passphrase, the students' part the class code. Stop with Ctrl-C; nothing that was saved is lost.
    """
    from tapeplat.page.serving import run

    run(port=port, share=share, data=data, archive=archive_folder, browser=not no_browser)

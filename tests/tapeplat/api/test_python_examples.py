"""The examples of docs/python.md, run in their order: they print what the page says that they print."""

from __future__ import annotations

import doctest
import re
import shutil
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT, SAMPLES

PAGE = ROOT / "docs" / "python.md"
BLOCK = re.compile(r"^```python\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def test_the_examples_of_the_page_say_what_it_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("quarry-lake-1.toml", "quarry-lake-1.jpg"):
        shutil.copyfile(SAMPLES / name, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    text = PAGE.read_text(encoding="utf-8")
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    said: list[str] = []
    names: dict[str, object] = {}
    blocks = list(BLOCK.finditer(text))
    for block in blocks:
        line = text[: block.start(1)].count("\n")
        example = doctest.DocTestParser().get_doctest(block[1], names, PAGE.name, str(PAGE), line)
        assert example.examples, f"{PAGE.name}, line {line}: nothing is run"
        runner.run(example, out=said.append, clear_globs=False)
        names = example.globs
    assert runner.summarize(verbose=False).failed == 0, "".join(said)
    assert len(blocks) == text.count("```python")

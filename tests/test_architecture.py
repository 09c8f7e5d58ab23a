"""The house's order: who may import whom, no cycles, and folders and files small enough to hold in mind.

An import counts wherever it stands: at a module's top, in a function, for types only, or as a module's name in a
string that is imported when it is needed.
"""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MAY_IMPORT = {
    "calib": {"calib"},
    "vision": {"calib", "vision"},
    "measure": {"measure"},
    "tapeplat": {"calib", "vision", "measure", "tapeplat"},
}
MODULES_IN_A_FOLDER = 15
LINES_IN_A_FILE = 350
LINES_IN_A_FUNCTION = 60  # its docstring not counted

Graph = Mapping[str, frozenset[str]]


@cache
def modules() -> Mapping[str, Path]:
    """Every product module by its dotted name; a package goes by its folder's name."""
    paths = (path for room in MAY_IMPORT for path in (ROOT / room).rglob("*.py"))
    return {".".join(_dotted(path)): path for path in paths}


def _dotted(path: Path) -> tuple[str, ...]:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return parts[:-1] if parts[-1] == "__init__" else parts


@cache
def tree(path: Path) -> ast.Module:
    """A module's syntax."""
    return ast.parse(path.read_text("utf-8"))


@cache
def imports() -> Graph:
    """What each module imports of the product."""
    return {name: frozenset(_imported(name, tree(path))) - {name} for name, path in modules().items()}


def _imported(importer: str, module: ast.Module) -> Iterator[str]:
    for node in ast.walk(module):
        if isinstance(node, ast.Import):
            yield from (_known(alias.name) for alias in node.names if _known(alias.name))
        elif isinstance(node, ast.ImportFrom):
            source = _absolute(importer, node)
            for alias in node.names:
                full = f"{source}.{alias.name}"
                yield from (name for name in (full if full in modules() else _known(source),) if name)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            name = node.value.split(":")[0]
            if "." in name and name in modules():
                yield name


def _absolute(importer: str, node: ast.ImportFrom) -> str:
    if not node.level:
        return node.module or ""
    package = importer.split(".") if modules()[importer].name == "__init__.py" else importer.split(".")[:-1]
    base = package[: len(package) - node.level + 1]
    return ".".join([*base, *([node.module] if node.module else [])])


def _known(name: str) -> str:
    """The product's own module of that name, else nothing."""
    return name if name in modules() else ""


def folder_imports() -> Graph:
    """What each folder's own modules import of other folders."""
    found: dict[str, set[str]] = defaultdict(set)
    for name, wanted in imports().items():
        found[_folder(name)] |= {_folder(other) for other in wanted}
    return {folder: frozenset(wanted - {folder}) for folder, wanted in found.items()}


def _folder(name: str) -> str:
    return ".".join(modules()[name].parent.relative_to(ROOT).parts)


def cycles(graph: Graph) -> set[tuple[str, ...]]:
    """Groups of names that reach each other (strongly connected components of more than one; Tarjan 1972)."""
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: set[tuple[str, ...]] = set()

    def visit(name: str) -> None:
        index[name] = low[name] = len(index)
        stack.append(name)
        for other in sorted(graph.get(name, ())):
            if other not in index:
                visit(other)
                low[name] = min(low[name], low[other])
            elif other in stack:
                low[name] = min(low[name], index[other])
        if low[name] == index[name]:
            at = stack.index(name)
            group = tuple(sorted(stack[at:]))
            del stack[at:]
            if len(group) > 1:
                found.add(group)

    for name in sorted(graph):
        if name not in index:
            visit(name)
    return found


def test_cycles_are_found() -> None:
    graph = {"a": frozenset("b"), "b": frozenset("c"), "c": frozenset("b"), "d": frozenset("a")}
    assert cycles(graph) == {("b", "c")}


def test_imports_are_found_wherever_they_stand() -> None:
    source = """
from __future__ import annotations
from typing import TYPE_CHECKING
import measure.units
if TYPE_CHECKING:
    from measure.quantity import Quantity
def lazily():
    from measure import numbers
    from . import edges
    return import_module("vision.tracing")
"""
    found = set(_imported("calib.camera", ast.parse(source)))
    wanted = {"measure.units", "measure.quantity", "measure.numbers", "calib.edges", "vision.tracing"}
    assert found == wanted


@pytest.mark.parametrize("room", MAY_IMPORT)
def test_the_rooms_keep_their_order(room: str) -> None:
    against = {
        f"{name} imports {other}"
        for name, wanted in imports().items()
        if name.split(".")[0] == room
        for other in wanted
        if other.split(".")[0] not in MAY_IMPORT[room]
    }
    assert against == set()


def test_no_cycle_between_modules_or_folders() -> None:
    assert cycles(imports()) | cycles(folder_imports()) == set()


def test_no_folder_is_too_full() -> None:
    full = {
        f"{folder.relative_to(ROOT)}: {len(beside)} {kind}"
        for (folder, kind), beside in _beside_each_other(_files()).items()
        if len(beside) > MODULES_IN_A_FOLDER
    }
    assert full == set()


def _beside_each_other(files: Iterable[Path]) -> Mapping[tuple[Path, str], list[Path]]:
    found: dict[tuple[Path, str], list[Path]] = defaultdict(list)
    for path in files:
        if path.suffix in (".py", ".js", ".css") and path.name != "__init__.py":
            found[path.parent, "modules" if path.suffix == ".py" else "scripts and styles"].append(path)
    return found


def _files() -> list[Path]:
    kinds = (".py", ".js", ".css", ".html", ".lark")
    return [path for room in MAY_IMPORT for path in (ROOT / room).rglob("*") if path.suffix in kinds]


def test_no_file_is_too_long() -> None:
    lines = {p.relative_to(ROOT).as_posix(): len(p.read_text("utf-8").splitlines()) for p in _files()}
    assert {name: n for name, n in lines.items() if n > LINES_IN_A_FILE} == {}


def test_no_function_is_too_long() -> None:
    long = {
        f"{name}:{node.name}"
        for name, path in modules().items()
        for node in ast.walk(tree(path))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and _length(node) > LINES_IN_A_FUNCTION
    }
    assert long == set()


def _length(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    lines = (function.end_lineno or function.lineno) - function.lineno + 1
    if ast.get_docstring(function) is None:
        return lines
    words = function.body[0]
    return lines - ((words.end_lineno or words.lineno) - words.lineno + 1)


def test_no_two_modules_bear_one_name() -> None:
    seen: dict[str, list[str]] = defaultdict(list)
    for name, path in modules().items():
        if path.name != "__init__.py":
            seen[path.stem].append(name)
    assert {stem: names for stem, names in seen.items() if len(names) > 1} == {}


def test_scripts_import_no_script_that_imports_them() -> None:
    static = ROOT / "tapeplat" / "page" / "static"
    graph = {
        str(path): frozenset(
            str((path.parent / wanted).resolve())
            for wanted in re.findall(r"""^(?:import|export)\b[^;]*?["'](\.[^"']+)["']""", path.read_text("utf-8"), re.M)
        )
        for path in static.rglob("*.js")
    }
    assert any(graph.values())
    assert all(Path(wanted).is_file() for names in graph.values() for wanted in names)
    assert cycles(graph) == set()


def test_the_developers_page_names_modules_and_files_that_are_there() -> None:
    pages = (ROOT / "DEVELOPERS.md", *(ROOT / "docs" / "internals").glob("*.md"))
    page = "".join(path.read_text("utf-8") for path in pages)
    dotted = re.findall(r"`((?:calib|vision|measure|tapeplat)(?:\.\w+)+)`", page)
    files = re.findall(r"`((?:calib|vision|measure|tapeplat|tests)/[\w/.-]+)`", page)
    assert len(dotted) > 20
    assert len(files) > 10
    assert [name for name in dotted if not _is_there(name)] == []
    assert [file for file in files if not (ROOT / file).exists()] == []


def _is_there(name: str) -> bool:
    """Whether this is a module, or a name that a module holds."""
    module, _, last = name.rpartition(".")
    if name in modules():
        return True
    return module in modules() and re.search(rf"\b{last}\b", modules()[module].read_text("utf-8")) is not None

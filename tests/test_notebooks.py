"""Notebooks run as they stand, hold what they showed, and end in what must hold."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

FOLDER = Path(__file__).parents[1] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))
LARGEST = 300_000
NUMBER = re.compile(r"\d+(?:\.\d+)?")
TINY = re.compile(r"\d+(?:\.\d+)?e-\d+")  # what rounding leaves, on another computer another

every = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)


def read(path):
    return nbformat.read(path, as_version=4)


def code_cells(path):
    return _code(read(path))


@every
@pytest.mark.long
def test_a_notebook_runs_from_top_to_bottom(path):
    notebook = read(path)
    client = NotebookClient(
        notebook,
        timeout=300,
        kernel_name="python3",
        resources={"metadata": {"path": str(path.parent)}},
    )
    client.execute()
    errors = [
        output
        for cell in notebook.cells
        for output in cell.get("outputs", [])
        if output.output_type == "error"
    ]
    assert not errors
    for stored, cell in zip(code_cells(path), _code(notebook), strict=True):
        assert alike(shown(stored), shown(cell)), cell.source


def _code(notebook):
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def shown(cell):
    """What a cell shows as text: printed lines and tables."""
    texts = (
        each.get("text", "") or each.get("data", {}).get("text/html", "") for each in cell.outputs
    )
    return "\n".join(texts)


def alike(stored, now):
    """The same words, and numbers within 2 % or one of the last digit shown."""
    stored, now = TINY.sub("tiny", stored), TINY.sub("tiny", now)
    if NUMBER.sub("#", stored).split() != NUMBER.sub("#", now).split():
        return False
    for a, b in zip(NUMBER.findall(stored), NUMBER.findall(now), strict=True):
        last = 10.0 ** -len(a.partition(".")[2])
        if abs(float(a) - float(b)) > max(0.02 * abs(float(b)), 1.01 * last):
            return False
    return True


def test_the_comparison_of_outputs_can_fail():
    assert alike("yields at 1010 N", "yields at  1020 N")
    assert not alike("yields at 1010 N", "yields at 1100 N")
    assert alike("left over 9e-08", "left over 1e-07")
    assert not alike("the hook at 1010 N", "the flank at 1010 N")


@every
def test_a_notebook_imports_nothing_from_inside(path):
    found = set()
    for cell in code_cells(path):
        lines = (line for line in cell.source.splitlines() if not line.startswith("%"))
        for node in ast.walk(ast.parse("\n".join(lines))):
            if isinstance(node, ast.ImportFrom):
                found.add(node.module)
            if isinstance(node, ast.Import):
                found |= {each.name for each in node.names}
    assert "rimfea" in found
    assert not {module for module in found if module.startswith("rimfea.")}


@every
def test_a_notebook_says_what_it_needs_to_be_valid(path):
    nbformat.validate(read(path))


@every
def test_a_notebook_ends_in_assertions(path):
    statements = ast.parse(code_cells(path)[-1].source).body
    assert len(statements) >= 3
    assert all(isinstance(each, ast.Assert) for each in statements)


@every
def test_a_notebook_is_stored_as_it_ran(path):
    cells = code_cells(path)
    assert [cell.execution_count for cell in cells] == list(range(1, len(cells) + 1))
    kinds = {output.output_type for cell in cells for output in cell.outputs}
    assert "stream" in kinds
    assert "error" not in kinds
    assert any(
        "<table>" in o.get("data", {}).get("text/html", "") for c in cells for o in c.outputs
    )
    pictures = [
        output.data["image/png"]
        for cell in cells
        for output in cell.outputs
        if "image/png" in output.get("data", {})
    ]
    assert pictures


@every
def test_a_notebook_is_small_and_names_no_folder_of_the_computer_it_ran_on(path):
    text = path.read_text(encoding="utf-8")
    assert len(text) < LARGEST
    assert str(FOLDER.parent.resolve()) not in text

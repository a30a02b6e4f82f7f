"""Published values against ours: each check leaves a line in a table at the end of the run."""

from __future__ import annotations

import csv
import math
import os
from collections.abc import Callable
from dataclasses import astuple, dataclass
from pathlib import Path

import numpy as np
import pytest

from rimfea.fem.assemble import matrix
from rimfea.fem.elements import elements
from rimfea.fem.forms import stiffness, stress
from rimfea.fem.recover import recovered
from rimfea.fem.shape import THREE_POINTS
from rimfea.fem.solve import factorised

MOST_DIGITS = 15.0


@dataclass(frozen=True)
class Line:
    """One line of the table."""

    quantity: str
    published: float
    ours: float
    source: str
    protects: str

    @property
    def told(self) -> tuple[str, ...]:
        """The line as texts: quantity, published, ours, digits, source."""
        numbers = (f"{self.published:.7g}", f"{self.ours:.7g}", f"{self.digits:.1f}")
        return (self.quantity, *numbers, self.source)

    @property
    def gap(self) -> float:
        """The difference relative to the published value, absolute where that is zero."""
        return abs(self.ours - self.published) / (abs(self.published) or 1.0)

    @property
    def digits(self) -> float:
        """How many digits agree."""
        if math.isnan(self.gap):
            return 0.0
        return MOST_DIGITS if self.gap == 0 else min(MOST_DIGITS, max(0.0, -math.log10(self.gap)))


LINES = pytest.StashKey[list[Line]]()
WORKERS = "lines of the verification"
HEAD = ("quantity", "published", "ours", "digits", "source")
KEPT = "RIMFEA_VERIFICATION_CSV"  # the file that the table goes to, if it is asked for


def pytest_configure(config):
    config.stash.setdefault(LINES, [])


@pytest.fixture
def verified(request) -> Callable[..., None]:
    """``verified(quantity, published, ours, source, *, within)`` writes a line of the table and
    fails unless ours lies within the share ``within`` of the published value (absolute where
    that is zero). A test that looks at several values may call it several times.
    """
    lines = request.config.stash.setdefault(LINES, [])
    protects = request.path.stem.removeprefix("test_").replace("_", " ")

    def check(quantity: str, published: float, ours: float, source: str, *, within: float) -> None:
        line = Line(quantity, float(published), float(ours), source, protects)
        lines.append(line)
        assert line.gap <= within, (
            f"{quantity}: published {published:.7g}, ours {ours:.7g}, "
            f"apart by {line.gap:.2e}, allowed {within:.2e} ({source})"
        )

    return check


def pytest_sessionfinish(session):
    """A worker of several tells its lines to the one that prints them."""
    if hasattr(session.config, "workeroutput"):
        lines = session.config.stash.get(LINES, [])
        session.config.workeroutput[WORKERS] = [astuple(line) for line in lines]


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node):
    """Lines of a worker that has ended."""
    told = getattr(node, "workeroutput", {}).get(WORKERS, [])
    node.config.stash.setdefault(LINES, []).extend(Line(*line) for line in told)


def pytest_terminal_summary(terminalreporter, config):
    """The table; pytest's own closing line still comes after it."""
    lines = config.stash.get(LINES, [])
    if not lines:
        return
    if KEPT in os.environ:
        write_lines(Path(os.environ[KEPT]), lines)
    rows = [HEAD, *(line.told for line in lines)]
    width = [max(len(row[k]) for row in rows) for k in range(4)]
    terminalreporter.section("verification")
    for row in rows:
        cells = [row[0].ljust(width[0])] + [row[k].rjust(width[k]) for k in (1, 2, 3)]
        terminalreporter.write_line(" | ".join([*cells, row[4]]))


def write_lines(path: Path, lines: list[Line]) -> None:
    """The table for the document, grouped by what its lines protect."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("protects", *HEAD))
        writer.writerows(
            (line.protects, *line.told) for line in sorted(lines, key=lambda line: line.protects)
        )


@dataclass(frozen=True)
class Patch:
    """A four-sided plate of six-node triangles: nodes (n, 2), triangles (e, 6), and the sides
    (f, 3) of its four edges with the metal on the left.
    """

    nodes: np.ndarray
    triangles: np.ndarray
    bottom: np.ndarray
    right: np.ndarray
    top: np.ndarray
    left: np.ndarray


def mapped_patch(mapping, columns: int, rows: int) -> Patch:
    """The unit square in columns × rows cells of two triangles, every node, those in the
    middle of sides too, sent through ``mapping`` (p, 2) -> (p, 2): curved edges are met by
    parabolas.
    """
    across, up = 2 * columns + 1, 2 * rows + 1
    eta, xi = np.meshgrid(np.linspace(0, 1, up), np.linspace(0, 1, across), indexing="ij")
    number = np.arange(across * up).reshape(up, across)
    cell = {
        (i, j): number[j : up - 2 + j : 2, i : across - 2 + i : 2].ravel()
        for i in range(3)
        for j in range(3)
    }
    below = [(0, 0), (2, 0), (2, 2), (1, 0), (2, 1), (1, 1)]
    above = [(0, 0), (2, 2), (0, 2), (1, 1), (1, 2), (0, 1)]
    triangles = [np.column_stack([cell[place] for place in half]) for half in (below, above)]
    edges = (number[0], number[:, -1], number[-1, ::-1], number[::-1, 0])
    return Patch(
        mapping(np.column_stack([xi.ravel(), eta.ravel()])),
        np.vstack(triangles),
        *(np.column_stack([edge[:-2:2], edge[2::2], edge[1::2]]) for edge in edges),
    )


def solved_displacement(nodes, triangles, D, held, given, load):
    """Displacement (n, 2) with the unknowns ``held`` at the values ``given`` under a load
    (2n,), and the reactions (n, 2) of the supports.
    """
    K = matrix(triangles, stiffness(elements(nodes, triangles), D), len(nodes))
    start = np.zeros(2 * len(nodes))
    start[held] = given
    equations = factorised(K, np.asarray(held))
    rest = load - K @ start
    moved = equations.solve(rest)
    reactions = equations.reactions(moved, rest)
    return (start + moved).reshape(-1, 2), reactions.reshape(-1, 2)


def smoothed_stress(nodes, triangles, D, u):
    """Recovered stress (n, 3) in the nodes."""
    sampled = elements(nodes, triangles, THREE_POINTS)
    return recovered(nodes, sampled, stress(sampled, D, u))


@pytest.fixture(scope="session")
def patch():
    """The function :func:`mapped_patch`: test modules cannot import one another."""
    return mapped_patch


@pytest.fixture(scope="session")
def solved():
    """The function :func:`solved_displacement`."""
    return solved_displacement


@pytest.fixture(scope="session")
def smoothed():
    """The function :func:`smoothed_stress`."""
    return smoothed_stress

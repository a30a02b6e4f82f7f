"""Rims handed to a cluster: the answers of one computer, also where one of two is lost."""

from __future__ import annotations

import csv
import os
import re
import signal
import subprocess
import sys
import time
from contextlib import ExitStack, contextmanager

import pytest

pytestmark = pytest.mark.long
RIMFEA = "from rimfea.cli.main import main; main()"
SWEEP = ("sweep", "curlew", "sidewall_mm=1.1:1.4:4")
PATIENCE_S = 60


def run(*words, cwd=None):
    return subprocess.run(
        [sys.executable, "-c", RIMFEA, *words], capture_output=True, text=True, check=False, cwd=cwd
    )


@contextmanager
def process(*words):
    """A process of the cluster, and what it says."""
    command = [sys.executable, "-m", *words]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as started:
        try:
            yield started
        finally:
            started.kill()


def said(started, pattern):
    """The first that a process says of that pattern."""
    ends = time.monotonic() + PATIENCE_S
    for line in started.stderr:
        if found := re.search(pattern, line):
            return found[0]
        assert time.monotonic() < ends
    pytest.fail(f"ended without {pattern}")


@pytest.fixture
def cluster():
    """The address of a scheduler with two workers of one thread, and these."""
    with ExitStack() as stack:
        scheduler = stack.enter_context(
            process(
                "distributed.cli.dask_scheduler",
                "--host",
                "127.0.0.1",
                "--port",
                "0",
                "--no-dashboard",
            )
        )
        address = said(scheduler, r"tcp://127\.0\.0\.1:\d+")
        each = ("--nthreads", "1", "--no-nanny", "--no-dashboard", "--death-timeout", "60")
        both = [
            stack.enter_context(process("distributed.cli.dask_worker", address, *each))
            for _ in range(2)
        ]
        for worker in both:
            said(worker, "Registered to")
        yield address, both


def table(path):
    with path.open(encoding="utf-8") as file:
        return [row for row in csv.reader(file) if row and not row[0].startswith("#")]


def numbers(row):
    return [float(cell) for cell in row if re.fullmatch(r"-?\d[\d.e+-]*", cell)]


def test_a_cluster_that_loses_a_worker_answers_as_one_computer(cluster, tmp_path):
    """A worker is killed as soon as the first point has come; its points are done again, the file
    is filled in order, and its numbers are those of this computer.
    """
    address, (lost, _) = cluster
    ours, theirs = tmp_path / "ours.csv", tmp_path / "theirs.csv"
    assert run(*SWEEP, "--csv", str(ours)).returncode == 0
    command = [sys.executable, "-c", RIMFEA, *SWEEP, "--csv", str(theirs), "--workers", address]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as asked:
        ends = time.monotonic() + 4 * PATIENCE_S
        while not (theirs.exists() and len(table(theirs)) > 1):
            assert asked.poll() is None, asked.communicate()
            assert time.monotonic() < ends
            time.sleep(0.05)
        os.kill(lost.pid, signal.SIGKILL)
        _, errors = asked.communicate(timeout=4 * PATIENCE_S)
    assert asked.returncode == 0, errors
    assert "Traceback" not in errors
    here, there = table(ours), table(theirs)
    assert here[0] == there[0]
    assert len(here) == len(there) == 6  # a heading, the rim as it is, four points
    for row, other in zip(here[1:], there[1:], strict=True):
        assert numbers(other) == pytest.approx(numbers(row), rel=1e-9)


def test_where_no_scheduler_answers_that_is_told():
    done = run("choose", "curlew", "--quick", "--workers", "tcp://127.0.0.1:9")
    assert done.returncode == 2
    assert "--workers tcp://127.0.0.1:9: no scheduler answers there" in done.stderr
    assert "Traceback" not in done.stderr
    assert run("choose", "curlew", "--workers", "hullo there").returncode == 2

"""What a question takes of the memory at its peak: asked of a process that does nothing else, by
the kernel's own account of it.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.benchmarks.conftest import takes_minutes

pytestmark = pytest.mark.long

STATUS = Path("/proc/self/status")
ASK = f"""
import resource, sys
from pathlib import Path
from rimfea.cli.main import main
try:
    main()
finally:
    sys.stdout.flush()
    own = int(Path({str(STATUS)!r}).read_text().split("VmHWM:")[1].split()[0])
    helper = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    print(max(own, helper), file=sys.stderr)
"""
# What is typed, and how many MB it may take at most in one process.
TYPED = (
    ("inspect curlew", 150),
    ("analyse curlew --quick", 650),
    pytest.param("analyse curlew", 700, marks=takes_minutes),
    pytest.param("compare curlew plover --quick", 750, marks=takes_minutes),
    ("design ouzel --keep first-yield --only sidewall_mm --quick", 1000),
)


@pytest.mark.skipif(not STATUS.exists(), reason="reads Linux's own account")
@pytest.mark.parametrize(("typed", "most_mb"), TYPED)
def test_a_question_takes_no_more_than_it_did(typed, most_mb, request):
    words = [sys.executable, "-c", ASK, *typed.split()]
    found = subprocess.run(words, capture_output=True, text=True, check=True)
    peak = int(found.stderr.split()[-1]) / 1e3
    capture = request.config.pluginmanager.getplugin("capturemanager")
    with capture.global_and_fixture_disabled():
        print(f"\nrimfea {typed}: {peak:.0f} MB at its peak", end="")
    assert peak < most_mb

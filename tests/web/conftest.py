from __future__ import annotations

import warnings
from pathlib import Path

import pytest

from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import read_sheet
from rimfea.web.app import app
from rimfea.web.bench import bench

with warnings.catch_warnings():  # newer ones ask for another client library, older ones for this
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

PROFILES = Path(__file__).parents[2] / "profiles"
PORT = 8123
HOME = f"http://127.0.0.1:{PORT}"


@pytest.fixture(scope="session")
def curlew():
    return read_sheet(PROFILES / "curlew.toml")


@pytest.fixture(scope="session")
def on(curlew):
    """A bench with two rims and one set-up."""
    return bench([curlew, read_sheet(PROFILES / "grouse.toml")], [read_setup("gravel")])


@pytest.fixture(scope="session")
def client(on):
    """A browser on the page itself."""
    headers = {"origin": HOME}
    with TestClient(app(on, PORT), base_url=HOME, headers=headers) as found:
        yield found


@pytest.fixture
def asked():
    """A request about the curlew, with other values for some keys."""

    def make(**others):
        return {"rim": "curlew", "setup": "gravel", "wheel": "rear", "changes": {}, **others}

    return make

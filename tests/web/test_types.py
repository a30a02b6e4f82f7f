"""The types of the page's modules, where the machine has a checker (tsc); else skipped."""

from __future__ import annotations

import json
import shutil
import subprocess
from importlib import resources

import pytest

CHECKED = {
    "allowJs": True,
    "checkJs": True,
    "noEmit": True,
    "target": "es2022",
    "module": "es2022",
    "moduleResolution": "bundler",
    "lib": ["es2022", "dom", "dom.iterable"],
    "strict": True,
    "noImplicitAny": False,
    "useUnknownInCatchVariables": False,
}


def test_the_modules_of_the_page_agree_on_their_types(tmp_path):
    """As their comments say."""
    checker = shutil.which("tsc")
    if checker is None:
        pytest.skip("no type checker for the page's modules on this machine: install tsc")
    version = subprocess.run([checker, "-v"], capture_output=True, text=True, check=True).stdout
    if not version.startswith("Version 5."):
        pytest.skip("a checker that takes what begins as null for null ever after: install tsc 5")
    static = tmp_path / "static"
    shutil.copytree(str(resources.files("rimfea.web") / "static"), static)
    options = CHECKED | {"paths": {"/*": ["./static/*"]}}
    told = {"compilerOptions": options, "include": ["static/*.js"]}
    (tmp_path / "tsconfig.json").write_text(json.dumps(told))
    found = subprocess.run([checker, "-p", tmp_path], capture_output=True, text=True, check=False)
    assert found.stdout == ""

from __future__ import annotations

import json

import jsonschema

from rimfea.words.data import schema
from rimfea.words.numbers import CAUTION


def test_why_tells_what_carries_the_blow(rimfea, ouzel, tmp_path):
    picture = tmp_path / "why.png"
    done = rimfea("why", ouzel, "--picture", picture)
    told = " ".join(done.stdout.split())
    assert told.startswith("ouzel: The flank carries most of the blow: ")
    assert told.endswith(CAUTION)
    assert picture.exists()


def test_why_follows_the_schema(rimfea, ouzel):
    told = json.loads(rimfea("why", ouzel, "--json").stdout)
    jsonschema.validate(told, schema())
    assert told["whys"][0]["rim"] == "ouzel"

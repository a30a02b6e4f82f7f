from __future__ import annotations

import json

import jsonschema

from rimfea.words.data import schema
from rimfea.words.numbers import CAUTION


def test_why_tells_what_carries_the_blow(rimfea, merlin, tmp_path):
    picture = tmp_path / "why.png"
    done = rimfea("why", merlin, "--picture", picture)
    told = " ".join(done.stdout.split())
    assert told.startswith("merlin: The flank carries most of the blow: ")
    assert told.endswith(CAUTION)
    assert picture.exists()


def test_why_follows_the_schema(rimfea, merlin):
    told = json.loads(rimfea("why", merlin, "--json").stdout)
    jsonschema.validate(told, schema())
    assert told["whys"][0]["rim"] == "merlin"

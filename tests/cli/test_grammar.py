"""One grammar: an option is called, says and takes for granted the same in every command."""

from __future__ import annotations

import click
import pytest

from rimfea.cli.main import COMMANDS, commands

EVERY = {name: commands.get_command(click.Context(commands), name) for name in COMMANDS}
LOADED = {"analyse", "choose", "compare", "design", "report", "sweep", "why", "worth"}
DRAWS = LOADED - {"report"} | {
    "inspect",
    "reconcile",
    "tap",
    "wear",
}  # a report is pictures already
# Option → the commands that have it, each of which it makes sense for.
GRAMMAR = {
    "--setup": LOADED | {"page"},
    "--with": LOADED | {"page"},
    "--strike": LOADED,
    "--patch": LOADED,
    "--angle": LOADED,
    "--tension": LOADED,
    "--pressure": LOADED | {"wear"},
    "--tyre": LOADED | {"wear"},
    "--force-unit": LOADED | {"wear"},
    "--pressure-unit": {"analyse", "choose", "compare", "report", "wear"},  # that tell of air
    "--json": DRAWS | {"report"},
    "--picture": DRAWS,
    "--table": DRAWS,
    "--overwrite": DRAWS | {"new", "report"},
    "--quick": LOADED - {"sweep", "why"},  # which leave dents out unless one is asked about
    "--wheel": LOADED - {"choose", "report"},  # which are about both
    "--base": {"compare", "report"},
    "--results": {"choose", "compare", "design"},  # of many rims, which take long
    "--write": {"design", "reconcile"},
}


def options(name):
    return [each for each in EVERY[name].params if isinstance(each, click.Option)]


@pytest.mark.parametrize("option", GRAMMAR)
def test_every_command_that_an_option_makes_sense_for_has_it(option):
    having = {name for name in EVERY if any(option in each.opts for each in options(name))}
    assert having >= GRAMMAR[option]
    assert having <= GRAMMAR[option] | (set(EVERY) - LOADED - DRAWS - {"new", "page", "report"})


def test_an_option_says_and_takes_for_granted_the_same_in_every_command():
    seen = {}
    for name in EVERY:
        for each in options(name):
            for word in each.opts:
                told = (each.help, each.default, each.multiple, each.is_flag, each.metavar)
                kind = getattr(each.type, "choices", type(each.type))
                assert seen.setdefault(word, (told, kind)) == (told, kind), f"{name} {word}"


@pytest.mark.parametrize("name", EVERY)
def test_every_option_says_what_it_does_in_a_sentence(name):
    for each in options(name):
        assert each.help, each.opts
        assert each.help[0].isupper(), each.opts
        assert each.help.endswith("."), each.opts


def test_stress_is_never_asked_for_in_a_unit_of_air():
    (unit,) = (each for each in options("analyse") if "--pressure-unit" in each.opts)
    assert (unit.type.choices, unit.default) == (("bar", "psi"), "bar")

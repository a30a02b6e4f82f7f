"""rimfea explain: what a word means."""

from __future__ import annotations

import click
from click.shell_completion import CompletionItem


class Word(click.ParamType[str]):
    """A word of the glossary."""

    name = "word"

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """The words that begin as typed."""
        from rimfea.words.glossary import glossary

        del ctx, param
        return [CompletionItem(word) for word in glossary() if word.startswith(incomplete)]


@click.command("explain")
@click.argument("words", nargs=-1, metavar="[WORD]...", type=Word())
def command(words: tuple[str, ...]) -> None:
    """What WORD means, such as dent or "first yield"; without one, all words there are. Every
    command that answers in text takes --explain, which does it for what that answer says.
    """
    from rimfea.cli.printing import console
    from rimfea.words.glossary import asked

    out = console()
    for term in asked(words):
        out.say(str(term))

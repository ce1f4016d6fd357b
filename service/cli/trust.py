"""Commands that prove things to others: verify, anchor."""

from __future__ import annotations

import logging
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from service.cli.language import option
from service.cli.opened import opened
from service.cli.whole import written
from service.settings import from_environment

if TYPE_CHECKING:
    from collections.abc import Sequence

    from service.usecases.keeping.anchors import Anchor
    from service.usecases.keeping.verifying import Said

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
MARKS = {"holds": "✓", "wrong": "✗", "unchecked": "?", "note": " "}
WRONG, UNCHECKED = 1, 3


@click.command()
@click.argument("file", type=FILE)
@click.option("--anchor", "held", multiple=True, type=FILE, help="An anchor of its firm; may repeat.")
@click.option("--trust", "trusted", multiple=True, type=FILE, help="Certificates (PEM) that you trust.")
@option("Of what is said.")
def verify(file: Path, held: tuple[Path, ...], trusted: tuple[Path, ...], language: str) -> None:
    """Verify the certificate in FILE, a PDF: without a database, without a network.

    Exit status 0 when all of it holds, 1 when something is wrong, 3 when nothing is wrong and something
    was not checked.
    """
    from service.documents.pdf.signing import read_trusted
    from service.usecases.keeping import anchors, verifying

    # What the libraries log of a file that somebody sent is no more than what is said below.
    for library in ("pyhanko", "pyhanko_certvalidator"):
        logging.getLogger(library).setLevel(logging.CRITICAL)
    found = verifying.verify(
        _bytes(file, verifying.LARGEST_BYTES),
        held=[anchors.read(_bytes(each, anchors.LARGEST_BYTES)) for each in held],
        roots=[root for each in trusted for root in read_trusted(each.read_bytes(), name=each.name)],
        now=datetime.now(UTC),
    )
    sys.exit(_told(list(found), language))


def _bytes(file: Path, most: int) -> bytes:
    """A file's bytes, no more than shows that there are too many."""
    with file.open("rb") as content:
        return content.read(most + 1)


def _told(found: Sequence[Said], language: str) -> int:
    """Print what was found; returns the exit status that says so."""
    from service.documents.wording.formats import Units
    from service.documents.wording.sentences import in_words

    units = Units("eu", language)
    for each in found:
        click.echo(f"{MARKS[each.verdict]} {in_words(each.words, units)}")
    verdicts = {str(each.verdict) for each in found}
    return WRONG if "wrong" in verdicts else UNCHECKED if "unchecked" in verdicts else 0


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--firm", help="The firm's code; needed where there are several.")
@click.option("--every", is_flag=True, help="FILE is a folder to make, with a file for each firm.")
@click.option("--digests", is_flag=True, help="With the digests of all certificates of the chain.")
@click.option("--since", type=FILE, help="With the digests of those after this earlier anchor.")
def anchor(file: Path, firm: str | None, every: bool, digests: bool, since: Path | None) -> None:
    """Write to FILE where the firm's chain of certificates ends now, signed by its key.

    Keep it where whoever can change the database cannot: `baywright check --anchor FILE` finds what was
    changed together with all its digests. With digests, others can verify a certificate's place by it.
    """
    from service.usecases.keeping import anchors

    if every and (firm is not None or since is not None):
        raise click.UsageError("--every takes neither --firm nor --since: they are of one firm.")
    start = anchors.BEGINNING if digests else None
    if since is not None:
        start = anchors.read(_bytes(since, anchors.LARGEST_BYTES)).head
    database, settings, now = opened(reads=True), from_environment(), datetime.now(UTC)
    if every:
        made = {f"{each.firm}.json": each for each in anchors.of_every_firm(database, settings, start, now)}
    else:
        made = {"": anchors.of_now(database, settings, firm, since=start, now=now)}
    with written(file) as partial:
        if every:
            partial.mkdir()
        for name, each in made.items():
            (partial / name).write_bytes(anchors.written(each))
    for name, each in made.items():
        click.echo(_summary(file / name, each))


def _summary(file: Path, made: Anchor) -> str:
    signed = "signed" if made.signature else "not signed: the firm has no signing key"
    return f"{file}: firm {made.firm}, {made.head.count} certificates, {signed}."


COMMANDS = (verify, anchor)

"""The command line. `baywright --help` lists what there is.

The modules of the commands import click alone; what a command runs it imports when it runs, so that
nobody waits for the libraries of another command.
"""

import errno
import io
import sys
from typing import Any, NoReturn

import click

from service.cli import database, estimating, firm, jobs, modelled, recording, running, trust
from service.errors import BaywrightError, ContentUnavailable, InvalidInput, Sayable, Unavailable


class Commands(click.Group):
    """Commands that end with a sentence instead of a trace when something is wrong."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; what can be put right becomes a sentence on stderr and exit status 1."""
        try:
            return super().invoke(ctx)
        except InvalidInput as error:
            _fail("\n".join(f"{fault.pointer or '/'}: {_words(fault.detail, ctx)}" for fault in error.faults))
        except ContentUnavailable as error:
            _fail(_words(error.detail, ctx))
        except Unavailable as error:
            _fail(f"The database cannot be used: {_cause(error.__cause__ or error)}")
        except BaywrightError as error:
            _fail(_words(error.detail, ctx))
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise
            _fail(f"{error.filename or 'A file'}: {error.strerror or error}.")
        except Exception as error:
            if not _is_of_the_database(error):
                raise
            _fail(f"The database cannot be used: {_cause(error)}")


def _fail(text: str) -> NoReturn:
    click.echo(text, err=True)
    sys.exit(1)


def _words(said: str | Sayable, ctx: click.Context) -> str:
    """The sentence, in the language of a command that has one, else in English."""
    if isinstance(said, str):
        return said
    from service.documents.wording.formats import Units
    from service.documents.wording.sentences import in_words
    from service.engine.ground.messages import Message

    assert isinstance(said, Message)
    return in_words(said, Units("eu", ctx.obj or "en"))


def _is_of_the_database(error: Exception) -> bool:
    """Whether SQLAlchemy raised it; a command that did not import it has no such error."""
    library = sys.modules.get("sqlalchemy.exc")
    return library is not None and isinstance(error, library.SQLAlchemyError)


def _cause(error: BaseException) -> str:
    """What the driver says, without the statement and its values."""
    lines = str(getattr(error, "orig", None) or error).strip().splitlines()
    # One host with several addresses is tried at each, and each is told in a line of its own.
    return " ".join(dict.fromkeys(line.strip() for line in lines)) or type(error).__name__


@click.group(cls=Commands)
@click.version_option(package_name="baywright", prog_name="baywright")
def main() -> None:
    """Plans, prices, records and certifies loose-fill cellulose insulation."""
    # A mark or a name that the terminal has no letter for is written by its number, and ends no command.
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


for module in (jobs, estimating, modelled, recording, running, firm, database, trust):
    for command in module.COMMANDS:
        main.add_command(command)


if __name__ == "__main__":
    main()

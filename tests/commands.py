"""The command line, run as a person would, in the tests' own process."""

from pathlib import Path

from click.testing import CliRunner

from service.cli.main import main

DEMO = str(Path(__file__).parents[1] / "fixtures" / "demo")


def baywright(home: Path, *words: str, code: int = 0, **settings: str) -> str:
    """What a command prints when its database lies in `home`; it must end with `code`, and no trace."""
    environment: dict[str, str | None] = {"XDG_DATA_HOME": str(home), "HOME": str(home)}
    environment |= {f"BAYWRIGHT_{name.upper()}": value for name, value in settings.items()}
    done = CliRunner().invoke(main, words, env=environment)
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == code, done.output
    return done.stdout if code == 0 else done.stderr

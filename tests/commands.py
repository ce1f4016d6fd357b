"""The command line, run as a person would, in the tests' own process."""

from pathlib import Path

from click.testing import CliRunner

from service.cli.main import main

DEMO = str(Path(__file__).parents[1] / "fixtures" / "demo")


def baywright(
    home: Path, *words: str, code: int = 0, lang: str = "C", whole: bool = False, **settings: str
) -> str:
    """What a command prints when its database lies in `home`; it must end with `code`, and no trace.

    What it prints as an error where it fails, unless the `whole` is wanted.
    """
    environment: dict[str, str | None] = {"XDG_DATA_HOME": str(home), "HOME": str(home)}
    environment |= {"LANG": lang, "LC_ALL": None, "LC_MESSAGES": None}
    environment |= {f"BAYWRIGHT_{name.upper()}": value for name, value in settings.items()}
    done = CliRunner().invoke(main, words, env=environment)
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == code, done.output
    return done.output if whole else done.stdout if code == 0 else done.stderr

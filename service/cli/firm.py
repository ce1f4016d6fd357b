"""Commands for a firm's data and keys: load, keys, signing-key."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import click

from service.cli.opened import opened
from service.settings import from_environment


class _Role(click.ParamType[str]):
    """One of the roles; their list is imported when it is asked for."""

    name = "role"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The role, if there is such a one."""
        return click.Choice(_roles()).convert(value, param, ctx)

    def get_metavar(self, param: click.Parameter, ctx: click.Context) -> str:  # noqa: ARG002 - click's
        """What the help shows in its place."""
        return f"[{'|'.join(_roles())}]"


def _roles() -> tuple[str, ...]:
    from service.usecases.firm.keys import ROLES

    return ROLES


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
def load(folder: Path) -> None:
    """Load a firm with its materials, price lists, lances and practice from FOLDER."""
    from service.api.firm_files import read_firm
    from service.usecases.firm import firms

    firm = read_firm(folder)
    added = firms.load(opened(), firm, datetime.now(UTC))
    click.echo(f"{firm['code']}: {added} new versions.")


@click.group("keys")
def keys_group() -> None:
    """Make, list, rotate and revoke access keys."""


@keys_group.command("add")
@click.option("--firm", required=True, help="The firm's code.")
@click.option("--role", "roles", multiple=True, required=True, type=_Role())
@click.option("--label", default="", help="Whose key it is.")
def keys_add(firm: str, roles: tuple[str, ...], label: str) -> None:
    """Make a key and print it, this once, alone on a line."""
    from service.api.firm_files import read_key
    from service.usecases.firm import keys

    whose = label or "/".join(roles)
    key = read_key({"label": whose, "roles": list(dict.fromkeys(roles))})
    click.echo(keys.add(opened(), firm_code=firm, **key, now=datetime.now(UTC)))


@keys_group.command("list")
def keys_list() -> None:
    """List the keys by their prefixes."""
    from service.usecases.firm import keys

    now = datetime.now(UTC)
    for row in keys.every(opened()):
        state = "in force" if keys.in_force(row, now) else "revoked"
        used = f"{row['last_used_at']:%Y-%m-%d %H:%M}" if row["last_used_at"] else "never"
        click.echo(
            f"{row['prefix']}  {row['firm']:<12}  {state:<8}  used {used:<16}  "
            f"{','.join(row['roles'])}  {row['label']}"
        )


@keys_group.command("rotate")
@click.argument("prefix")
@click.option("--grace", default=0, show_default=True, type=click.IntRange(0, 720), help="Hours.")
def keys_rotate(prefix: str, grace: int) -> None:
    """Make a key in the place of the one with this PREFIX, and print it alone on a line.

    The old key ends at once, or after so many hours of grace.
    """
    from service.usecases.firm import keys

    click.echo(keys.rotate(opened(), prefix=prefix, grace=timedelta(hours=grace), now=datetime.now(UTC)))


@keys_group.command("revoke")
@click.argument("prefix")
def keys_revoke(prefix: str) -> None:
    """Revoke the key with this PREFIX."""
    from service.usecases.firm import keys

    keys.revoke(opened(), prefix=prefix, now=datetime.now(UTC))
    click.echo(f"{prefix} is revoked.")


@click.command("signing-key")
@click.argument("firm")
def signing_key(firm: str) -> None:
    """Make a signing key for FIRM, to try signing out.

    Nobody but itself vouches for such a key, and PDF readers say so. Keys for real
    certificates come from a certification authority.
    """
    from service.usecases.firm import signing_keys

    path = signing_keys.make_trial(opened(), from_environment(), firm, datetime.now(UTC))
    click.echo(f"{path} is for trying out: nobody but itself vouches for it.")


COMMANDS = (load, keys_group, signing_key)

"""Commands that run the service: serve, work, demo."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from service.settings import from_environment

RARELY = (20_000, 20, 20)
"""How often garbage is looked for: as it comes, a building of 2,000 parts is looked through again and again
while it is put together, which made each part a third dearer. What ends by itself is given back at once."""


@contextmanager
def no_collector() -> Iterator[None]:
    """Nobody looks for garbage among what the block imports, then or later: it stays.

    A fifth of a start goes there; and a forked process shares what no collector writes into.
    """
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.set_threshold(*RARELY)
        gc.enable()


PORT = click.IntRange(0, 65535)


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True)
@click.option("--port", type=PORT, default=8000, show_default=True)
@click.option("--workers", type=click.IntRange(min=1), default=2, show_default=True)
@click.option("--work/--no-work", "works", default=True, help="Whether it makes documents too.")
def serve(host: str, port: int, workers: int, works: bool) -> None:
    """Serve the API; what is done after a request, documents above all, is done by a process beside it.

    For one's own machine, or behind a proxy that takes in whole requests and speaks TLS.
    """
    with no_collector():
        from service.serve.server import serve as run_server

    run_server(from_environment(), host=host, port=port, workers=workers, works=works)


@click.command()
def work() -> None:
    """Do what is done after requests: make documents, until SIGTERM ends it after the present one.

    As many as wanted may run, on any machine; `serve` starts one unless it is told --no-work.
    """
    with no_collector():
        from service.serve.worker import work as run_worker

    run_worker(from_environment())


@click.command()
@click.option("--serve", "stay", is_flag=True, help="Leave the server running.")
@click.option("--port", type=PORT, default=8000, show_default=True)
@click.option("--out", default="out", show_default=True, type=click.Path(file_okay=False, path_type=Path))
def demo(stay: bool, port: int, out: Path) -> None:
    """Play the whole path through HTTP: a quote, its acceptance, a day on site, a certificate."""
    with no_collector():
        from service.demo.demo import play

    play(out=out, port=port, stay=stay)


COMMANDS = (serve, work, demo)

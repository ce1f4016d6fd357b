"""The demo, played: its documents, its certificate, and what it says when its port is somebody else's."""

import re
import socket
from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli.main import main
from service.demo.demo import DemoFailed, play


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def test_the_whole_path_is_played_and_leaves_three_documents(tmp_path: Path) -> None:
    done = CliRunner().invoke(main, ["demo", "--port", str(free_port()), "--out", str(tmp_path)])
    assert done.exit_code == 0, done.output
    assert {path.name for path in tmp_path.iterdir()} == {"quote.pdf", "crew-sheet.pdf", "certificate.pdf"}
    assert all(path.read_bytes().startswith(b"%PDF-") for path in tmp_path.iterdir())
    assert re.search(r"anybody may check it at http://127.0.0.1:\d+/verify/DEMO-\d{4}-00001", done.output)


@pytest.mark.parametrize("answers", [True, False])
def test_a_port_that_somebody_else_has_is_noticed_before_anything_is_sent(
    tmp_path: Path, answers: bool
) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        if answers:
            other.listen()
        with pytest.raises(DemoFailed, match="--port"):
            play(out=tmp_path, port=other.getsockname()[1], stay=False)
    assert list(tmp_path.iterdir()) == []

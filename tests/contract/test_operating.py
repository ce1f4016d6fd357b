"""What README.md and the pages in docker/ say is there: commands, files, services, units, figures."""

import json
import re
import shlex
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest
import yaml

from service.api import metrics
from service.cli.main import main
from service.settings import Settings
from tests.api import METRICS_KEY, Api
from tests.sources import ROOT, files

PAGES = ("README.md", "docker/OPERATING.md", "docker/USING.md", "docker/RECORDS.md", "docker/SECURITY.md")
OPERATOR = "docker compose run --rm operator "
UNITS = ROOT / "docker" / "systemd"
PROXY = ROOT / "docker" / "nginx.conf"
# What docker/now-and-then writes for the node exporter, and what that has of itself.
OF_THE_NIGHT = {"baywright_nightly_failed", "baywright_nightly_succeeded_seconds"}
OF_THE_MACHINE = {"up", "node_filesystem_avail_bytes", "node_filesystem_size_bytes"}


def lines(page: str) -> list[str]:
    """What a page's blocks of code say to type, a command each, without comments."""
    text = (ROOT / page).read_text(encoding="utf-8")
    blocks = "\n".join(re.findall(r"^```\n(.*?)^```", text, re.MULTILINE | re.DOTALL))
    # A comment, or two columns of which the second one explains.
    plain = [re.split(r" +#| {3,}", line)[0] for line in re.sub(r" *\\\n *", " ", blocks).splitlines()]
    return [part.strip() for line in plain for part in line.split("&&") if part.strip()]


def typed(page: str) -> Iterator[list[str]]:
    """The words after `baywright`, in blocks and within the text."""
    for line in lines(page):
        for start in ("baywright ", OPERATOR, "KEY=$(baywright "):
            if line.startswith(start):
                yield shlex.split(line.removeprefix(start).removesuffix(")"))
    text = (ROOT / page).read_text(encoding="utf-8")
    yield from (shlex.split(words) for words in re.findall(r"`baywright ([^`…]+)`", text))


def understood(words: list[str]) -> None:
    """Raises click's own error where a command or one of its options is not there."""
    group: click.Command = main
    context = click.Context(main)
    while isinstance(group, click.Group) and words:
        _, found, words = group.resolve_command(context, words)
        assert found is not None
        group, context = found, click.Context(found, parent=context)
    group.make_parser(context).parse_args(list(words))


@pytest.mark.parametrize("page", PAGES)
def test_every_command_and_option_is_there(page: str) -> None:
    commands = list(typed(page))
    assert len(commands) > 3
    for words in commands:
        understood(words)


def test_a_command_or_option_that_is_not_there_is_found_out() -> None:
    with pytest.raises(click.UsageError, match="No such command"):
        understood(["restore", "FILE"])
    with pytest.raises(click.UsageError, match="No such option"):
        understood(["keys", "add", "--nothing"])


@pytest.mark.parametrize("page", PAGES)
def test_every_file_that_is_named_is_there(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    named = set(re.findall(r"(?<![\w/.])((?:docker|fixtures|tests|service)/[\w./@-]*\w)", text))
    # Made by docker/secrets, by `docker/dev` or by the operator: none of the repository's.
    made = ("docker/secrets.d", "docker/signing", "docker/kept", "docker/.env")
    wanted = sorted(name for name in named if not name.startswith(made))
    assert wanted
    assert [name for name in wanted if not (ROOT / name).exists()] == []


def compose() -> dict[str, Any]:
    """compose.yaml with its anchors put in."""
    read: dict[str, Any] = yaml.safe_load((ROOT / "docker" / "compose.yaml").read_text(encoding="utf-8"))
    return read


def test_every_service_that_the_page_names_is_one_of_compose() -> None:
    services = set(compose()["services"])
    asked = [line.split() for page in PAGES for line in lines(page) if line.startswith("docker compose")]
    named = {word for words in asked for word in words if words[2] == "stop"} - {"docker", "compose", "stop"}
    named |= {next(word for word in w[3:] if not word.startswith("-")) for w in asked if w[2] == "run"}
    assert {"operator", "backup", "proxy"} <= named <= services


def test_the_image_gets_the_lock_of_each_extra_that_it_names() -> None:
    named = re.search(r"those that are named: (.*)\.", (ROOT / "docker" / "Dockerfile").read_text())
    assert named
    let_in = (ROOT / ".dockerignore").read_text().splitlines()
    for extra in named[1].split(", "):
        lock = f"docker/requirements-{extra}.lock"
        assert (ROOT / lock).exists()
        assert f"!{lock}" in let_in


def test_containers_keep_no_secret_in_their_environment_and_have_limits() -> None:
    """What compose.yaml promises of itself; tests/containers/try looks at the running ones."""
    read = compose()
    settings = {f"BAYWRIGHT_{name.upper()}" for name in Settings.__dataclass_fields__}
    for name, service in read["services"].items():
        environment = service.get("environment", {})
        assert not [
            key
            for key in environment
            if re.search("SECRET|PASSWORD|KEY|DATABASE_URL", key) and not key.endswith("_FILE")
        ], name
        assert set(service.get("secrets", [])) <= set(read["secrets"]), name
        ours = {key.removesuffix("_FILE") for key in environment if key.startswith("BAYWRIGHT_")}
        assert ours <= settings | {"BAYWRIGHT_KEEP_FOLDER", "BAYWRIGHT_CHECK_PARTS"}, name
        assert service["logging"]["options"]["max-size"], name
        if name != "database":
            assert service["read_only"], name
            assert service["cap_drop"] == ["ALL"], name
        if service["restart"] != "no":
            assert service["mem_limit"], name
        for volume in service.get("volumes", []):
            if volume.startswith("./") and not volume.startswith(("./signing:", "./kept:")):
                assert (ROOT / "docker" / volume.split(":")[0]).is_file(), volume


def test_every_secret_is_made_by_the_script_or_brought_by_the_operator() -> None:
    script = (ROOT / "docker" / "secrets").read_text(encoding="utf-8")
    made = {*re.findall(r"^make (\w+) ", script, re.MULTILINE)}
    (names,) = re.findall(r"^for name in ([\w ]+); do make", script, re.MULTILINE)
    assert made | {*names.split()} | {"tls_certificate", "tls_key"} == set(compose()["secrets"])


def expressions() -> Iterator[str]:
    """Everything that alerts and board ask of Prometheus."""
    alerts = yaml.safe_load((ROOT / "docker" / "alerts.yaml").read_text(encoding="utf-8"))
    yield from (rule["expr"] for group in alerts["groups"] for rule in group["rules"])
    board = json.loads((ROOT / "docker" / "dashboard.json").read_text(encoding="utf-8"))
    yield from (target["expr"] for panel in board["panels"] for target in panel["targets"])


def test_alerts_and_board_ask_for_figures_that_there_are(api: Api) -> None:
    api.send("GET", "/v1/quotes")
    answer = api.client.get("/metrics", headers={"Authorization": f"Bearer {METRICS_KEY}"})
    here = set(re.findall(r"^# TYPE (\w+) (?:gauge|counter)$", answer.text, re.MULTILINE))
    here |= {f"{name}_bucket" for name in re.findall(r"^# TYPE (\w+) histogram$", answer.text, re.MULTILINE)}
    assert {f"baywright_tasks_{name}" for name in metrics.GAUGES} <= here
    asked = {
        name for expression in expressions() for name in re.findall(r"\b(?:baywright|node)_\w+", expression)
    }
    assert asked
    assert asked - here - OF_THE_NIGHT - OF_THE_MACHINE == set()


def test_the_figures_of_the_night_are_those_that_are_written() -> None:
    script = (ROOT / "docker" / "now-and-then").read_text(encoding="utf-8")
    assert set(re.findall(r"baywright_nightly_\w+", script)) == OF_THE_NIGHT


def test_every_timer_has_its_job_and_stands_on_the_page() -> None:
    page = (ROOT / "docker" / "OPERATING.md").read_text(encoding="utf-8")
    script = (ROOT / "docker" / "now-and-then").read_text(encoding="utf-8")
    timers = {path.name for path in files(UNITS, "*.timer")}
    assert set(re.findall(r"`(baywright@\w+\.timer)`", page)) == timers
    (enabled,) = re.findall(r"baywright@\{([\w,]+)\}\.timer", page)
    jobs = {name.removeprefix("baywright@").removesuffix(".timer") for name in timers}
    assert {*enabled.split(",")} == jobs
    assert [job for job in sorted(jobs) if f"\n{job}() {{" not in script] == []
    unit = (UNITS / "baywright@.service").read_text(encoding="utf-8")
    assert "ExecStart=/opt/baywright/docker/now-and-then %i" in unit


def test_the_unit_serves_by_a_command_that_is_there() -> None:
    unit = (UNITS / "baywright.service").read_text(encoding="utf-8")
    commands = re.findall(r"^ExecStart(?:Pre)?=/opt/baywright/\.venv/bin/baywright (.*)$", unit, re.MULTILINE)
    assert len(commands) == 2
    for words in commands:
        understood(shlex.split(words))
    assert "StateDirectoryMode=0700" in unit


def test_the_proxy_takes_whole_requests_and_believes_no_forwarded_address() -> None:
    proxy = PROXY.read_text(encoding="utf-8")
    assert proxy.count("{") == proxy.count("}")
    for said in (
        "proxy_request_buffering on;",
        "proxy_buffering on;",
        "proxy_set_header X-Forwarded-For $remote_addr;",
        "proxy_pass http://service:8000;",
        "location = /metrics { return 404; }",
        "ssl_certificate /run/secrets/tls_certificate;",
    ):
        assert said in proxy
    (most,) = re.findall(r"client_max_body_size (\d+)m;", proxy)
    largest = max(
        Settings.__dataclass_fields__[name].default for name in ("body_limit_bytes", "photo_limit_bytes")
    )
    assert int(most) * 2**20 > largest


def test_the_proxy_on_a_machine_of_its_own_is_the_same_in_its_places() -> None:
    (command,) = (line for line in lines("docker/OPERATING.md") if line.startswith("sed "))
    made = subprocess.run(
        shlex.split(command.split("|")[0]), cwd=ROOT, capture_output=True, text=True, check=True
    )
    for left in ("service:", "8080", "8443", "http2", "/tmp/nginx.pid", "/dev/stdout", "/run/secrets"):
        assert left in PROXY.read_text(encoding="utf-8")
        assert left not in made.stdout
    for there in (
        "http://127.0.0.1:8000;",
        "listen 80;",
        "listen [::]:80;",
        "listen 443 ssl;",
        "listen [::]:443 ssl;",
    ):
        assert there in made.stdout
    assert "/etc/baywright/tls_key;" in made.stdout


def test_scripts_can_be_run() -> None:
    for path in ("now-and-then", "secrets", "dev"):
        assert Path(ROOT / "docker" / path).stat().st_mode & 0o111

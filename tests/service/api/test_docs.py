"""The documentation for programmers: complete, from here alone, readable by everybody, and its guide runs."""

import html
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from service.api.problem_kinds import KINDS
from tests.api import Api
from tests.browser import chromium, serving
from tests.sources import ROOT

pytestmark = pytest.mark.one_database

RUN = re.compile(r'<pre tabindex="0" class="run">(.*?)</pre>', re.DOTALL)


def test_the_bare_address_leads_to_it(api: Api) -> None:
    answer = api.client.get("/")
    assert (answer.status_code, answer.headers["Location"]) == (302, "/docs/")


def test_every_link_of_it_leads_somewhere(api: Api) -> None:
    seen: set[str] = set()
    wanted = {"/docs/"}
    while wanted:
        address = wanted.pop()
        answer = api.client.get(address)
        assert answer.status_code == 200, address
        seen.add(address)
        if answer.content_type.startswith("text/html"):
            assert answer.headers["Content-Security-Policy"].startswith("default-src 'none';")
            links = re.findall(r'href="([^"]+)"', answer.text)
            anchors = {each[1:] for each in links if each.startswith("#")}
            assert anchors <= set(re.findall(r'id="([^"]+)"', answer.text)), address
            wanted |= {each.partition("#")[0] for each in links if not each.startswith("#")} - seen
    assert len(seen) > 30
    assert all(each.startswith("/") for each in seen)


def test_every_operation_is_told_with_who_may(api: Api) -> None:
    document = api.client.get("/openapi.json").json
    first = api.client.get("/docs/").text
    for methods in document["paths"].values():
        for method, said in methods.items():
            if method != "parameters":
                assert f"#{said['operationId']}" in first
                assert said["x-roles"]


def test_a_problem_s_type_is_the_address_of_its_page(api: Api) -> None:
    refused = api.send("POST", "/v1/quotes", {}).json
    assert refused["type"].endswith("/problems/invalid-input")
    assert "errors" in api.client.get("/problems/invalid-input").text
    known = {kind.status for kind in KINDS.values()}
    document = api.client.get("/openapi.json").json
    told = {
        int(code)
        for methods in document["paths"].values()
        for method, said in methods.items()
        if method != "parameters"
        for code in said["responses"]
        if code.startswith(("4", "5"))
    }
    assert told <= known
    assert api.client.get("/problems/none-such").status_code == 404


def test_the_guide_runs_as_it_stands(api: Api, tmp_path: Path) -> None:
    blocks = RUN.findall(api.client.get("/docs/guide").text)
    program = tmp_path / "guide.py"
    program.write_text("\n".join(html.unescape(each) for each in blocks), encoding="utf-8")
    with serving(api.app) as port:
        keys = {
            "SALES": api.key("sales"),
            "CREW": api.key("installer", "signatory"),
            "OFFICE": api.key("office"),
        }
        done = subprocess.run(
            [sys.executable, str(program)],
            env={**os.environ, "BASE": f"http://127.0.0.1:{port}", **keys},
            capture_output=True,
            text=True,
            check=False,
        )
    assert done.returncode == 0, done.stdout + done.stderr
    assert re.search(r"DEMO-\d{4}-\d{5} can be checked by anybody", done.stdout)


@pytest.fixture(scope="module")
def page(app: object) -> Iterator[Page]:
    with chromium() as browser, serving(app) as port:  # type: ignore[arg-type]
        yield browser.new_page(base_url=f"http://127.0.0.1:{port}", viewport={"width": 360, "height": 740})


@pytest.mark.parametrize("address", ["/docs/", "/docs/guide", "/docs/quotes", "/problems/conflict"])
def test_everybody_can_read_it(page: Page, address: str) -> None:
    page.goto(address)
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_the_readme_s_first_quote_is_one(api: Api) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    (body,) = re.findall(r"/v1/quotes .*?-d '(.*?)'\n```", text, re.DOTALL)
    answer = api.send("POST", "/v1/quotes", json.loads(body), role="sales")
    assert answer.status_code == 201, answer.text

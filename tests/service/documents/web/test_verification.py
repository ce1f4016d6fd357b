"""The public page in a real browser, as a reader would use it: with a mouse, by keyboard, on a phone."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from flask import Flask
from playwright.sync_api import Browser, Page, expect

from tests.api import Api
from tests.axe import examined
from tests.browser import ELSEWHERE, chromium, serving
from tests.long import LONG

pytestmark = pytest.mark.usefixtures("papers_plain")

PHONE, DESK = {"width": 360, "height": 740}, {"width": 1280, "height": 900}
IGNORED = "Cross-Origin-Opener-Policy header has been ignored"
"""What Chromium says of that header over plain HTTP, where it has no meaning and does no harm."""
FINGER_PX = 44
"""The least side of what a finger must hit: WCAG 2.2, success criterion 2.5.5."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Issued:
    """A certificate and its file."""

    id: str
    number: str
    pdf: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The service at an address, with a certificate in each state."""

    port: int
    standing: Issued
    replaced: Issued
    withdrawn: Issued
    link: str

    def at(self, number: str, host: str = "127.0.0.1") -> str:
        """The address of a number's page."""
        return f"http://{host}:{self.port}/verify/{number}"


def issued(api: Api, job: Any) -> Issued:
    """A certificate of the job, with its file."""
    made = api.issue(job).json
    file = api.send("GET", f"/v1/certificates/{made['id']}/document")
    return Issued(id=made["id"], number=made["number"], pdf=file.data)


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database is enough: a page does not know where its facts come from."""
    return sqlite_url


@pytest.fixture(scope="module")
def site(app: Flask) -> Iterator[Site]:
    """The service, with a certificate that was replaced by one that stands, and one that was withdrawn."""
    api, other = Api(app), Api(app, "other")
    job = api.worked()
    replaced, standing = issued(api, job), issued(api, job)
    withdrawn = issued(other, other.worked())
    gone = other.send("POST", f"/v1/certificates/{withdrawn.id}/withdrawal", {"reason": "a private matter"})
    assert gone.status_code == 200, gone.text
    made = api.send("POST", f"/v1/certificates/{standing.id}/links", {"days": 1}).json
    path = made["url"].partition("/clients/")[2]
    with serving(app) as port:
        link = f"http://127.0.0.1:{port}/clients/{path}"
        yield Site(port=port, standing=standing, replaced=replaced, withdrawn=withdrawn, link=link)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for the module."""
    with chromium() as browser:
        yield browser


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page with an empty past; whatever it complains of fails the test."""
    context = browser.new_context()
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda line: None if IGNORED in line.text else complaints.append(line.text))
    yield page
    context.close()
    assert complaints == []


def choose(page: Page, content: bytes) -> None:
    """Choose a file of this content."""
    file = {"name": "from-the-client.pdf", "mimeType": "application/pdf", "buffer": content}
    page.get_by_label("Choose the file").set_input_files([file])


def changed(pdf: bytes) -> bytes:
    """The file with one bit of its middle turned round."""
    middle = len(pdf) // 2
    return pdf[:middle] + bytes([pdf[middle] ^ 1]) + pdf[middle + 1 :]


def drop(page: Page, *paths: Path) -> None:
    """Drop files on the page's top left corner, as the system's own file manager would."""
    session = page.context.new_cdp_session(page)
    data = {"items": [], "files": [str(path) for path in paths], "dragOperationsMask": 1}
    for kind in ("dragEnter", "dragOver", "drop"):
        session.send("Input.dispatchDragEvent", {"type": kind, "x": 5, "y": 5, "data": data})


def day_of(site: Site, number: str, page: Page, field: str) -> str:
    """A day of the public JSON, as the page writes it: the firm's own."""
    told = page.request.get(site.at(number), headers={"Accept": "application/json"}).json()
    day = datetime.fromisoformat(told[field]).astimezone(ZoneInfo(told["time_zone"])).date()
    names = "January February March April May June July August September October November December"
    return f"{day.day} {names.split()[day.month - 1]} {day.year}"


def test_the_file_that_was_issued_is_known_again(site: Site, page: Page) -> None:
    page.goto(site.at(site.standing.number))
    expect(page).to_have_title(f"{site.standing.number}: in force")
    choose(page, site.standing.pdf)
    answer = page.get_by_role("status")
    expect(answer).to_contain_text("Yes, this is the certificate.")
    expect(answer).to_contain_text("from-the-client.pdf")


def test_one_changed_bit_is_found(site: Site, page: Page) -> None:
    page.goto(site.at(site.standing.number))
    choose(page, changed(site.standing.pdf))
    expect(page.get_by_role("status")).to_contain_text("No, this is not the certificate.")
    choose(page, site.standing.pdf)
    expect(page.get_by_role("status")).to_contain_text("Yes, this is the certificate.")


def test_a_certificate_is_not_taken_for_another(site: Site, page: Page) -> None:
    page.goto(site.at(site.standing.number))
    choose(page, site.replaced.pdf)
    expect(page.get_by_role("status")).to_contain_text("No, this is not the certificate.")


def test_a_file_may_be_dropped_anywhere_but_only_one(site: Site, page: Page, tmp_path: Path) -> None:
    right, wrong = tmp_path / "right.pdf", tmp_path / "wrong.pdf"
    right.write_bytes(site.standing.pdf)
    wrong.write_bytes(changed(site.standing.pdf))
    page.goto(site.at(site.standing.number))
    drop(page, right)
    expect(page.get_by_role("status")).to_contain_text("Yes, this is the certificate.")
    drop(page, right, wrong)
    expect(page.get_by_role("status")).to_contain_text("One file at a time, please.")
    drop(page, wrong)
    expect(page.get_by_role("status")).to_contain_text("No, this is not the certificate.")
    assert page.url == site.at(site.standing.number)


def test_what_was_withdrawn_says_so_and_since_when(site: Site, page: Page) -> None:
    page.goto(site.at(site.withdrawn.number))
    since = day_of(site, site.withdrawn.number, page, "withdrawn_at")
    expect(page.get_by_role("main")).to_contain_text(f"Withdrawn on {since}. Do not rely on it")
    expect(page.get_by_role("main")).not_to_contain_text("a private matter")
    choose(page, site.withdrawn.pdf)
    expect(page.get_by_role("status")).to_contain_text("This is the file, but it was withdrawn.")
    expect(page.get_by_role("status")).to_contain_text(since)


def test_what_was_replaced_leads_to_what_took_its_place(site: Site, page: Page) -> None:
    page.goto(site.at(site.replaced.number))
    since = day_of(site, site.replaced.number, page, "superseded_at")
    expect(page.get_by_role("main")).to_contain_text(f"Replaced on {since} by {site.standing.number}")
    choose(page, site.replaced.pdf)
    expect(page.get_by_role("status")).to_contain_text("This is the file, but it was replaced.")
    page.get_by_role("status").get_by_role("link", name=site.standing.number).click()
    expect(page).to_have_title(f"{site.standing.number}: in force")


def test_it_works_by_keyboard_alone(site: Site, page: Page) -> None:
    with page.expect_file_chooser() as chooser:  # from before the page: told later, the browser may miss it
        page.goto(site.at(site.standing.number))
        page.keyboard.press("Tab")
        expect(page.get_by_label("Choose the file")).to_be_focused()
        label = page.locator("label")
        assert label.evaluate("it => getComputedStyle(it).outlineStyle") == "solid"
        page.keyboard.press("Space")
    chooser.value.set_files([{"name": "it.pdf", "mimeType": "application/pdf", "buffer": site.standing.pdf}])
    expect(page.get_by_role("status")).to_contain_text("Yes, this is the certificate.")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_text("SHA-256 of the file", exact=True)).to_be_visible()


def test_on_a_phone_nothing_is_cut_off_and_fingers_find_the_button(site: Site, page: Page) -> None:
    page.set_viewport_size(PHONE)
    for one in (site.standing, site.replaced, site.withdrawn):
        page.goto(site.at(one.number))
        choose(page, one.pdf)
        page.get_by_text("Compare by hand").click()
        expect(page.get_by_text("byte for byte")).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    assert page.locator("label").bounding_box()["height"] >= FINGER_PX


def test_printed_it_says_when_it_was_asked_and_offers_nothing_to_click(site: Site, page: Page) -> None:
    page.goto(site.at(site.standing.number))
    page.emulate_media(media="print")
    expect(page.get_by_text("In force", exact=True)).to_be_visible()
    expect(page.get_by_text("As of ")).to_be_visible()
    expect(page.locator("label")).to_be_hidden()


def test_the_states_differ_by_more_than_colour(site: Site, page: Page) -> None:
    marks = set()
    for one in (site.standing, site.replaced, site.withdrawn):
        page.goto(site.at(one.number))
        marks.add(page.locator(".standing svg").inner_html())
    assert len(marks) == 3


def test_nobody_else_is_asked_and_the_file_stays_here(site: Site, page: Page) -> None:
    asked: list[tuple[str, str]] = []
    page.on("request", lambda request: asked.append((request.method, request.url)))
    page.goto(site.at(site.standing.number))
    choose(page, site.standing.pdf)
    expect(page.get_by_role("status")).to_contain_text("Yes")
    page.wait_for_load_state("networkidle")
    elsewhere = [each for each in asked if not each[1].startswith("data:")]
    assert elsewhere == [("GET", site.at(site.standing.number))]


def test_it_speaks_the_language_that_the_browser_asks_for(site: Site, browser: Browser) -> None:
    context = browser.new_context(locale="de-AT")
    page = context.new_page()
    page.goto(site.at(site.standing.number))
    expect(page).to_have_title(f"{site.standing.number}: Gültig")
    page.get_by_label("Datei wählen").set_input_files(
        [{"name": "it.pdf", "mimeType": "application/pdf", "buffer": site.standing.pdf}]
    )
    expect(page.get_by_role("status")).to_contain_text("Ja, das ist die Bescheinigung.")
    expect(page.get_by_role("status")).to_contain_text("erfüllen")
    page.goto(site.at("X-1"))
    expect(page.get_by_role("heading", name="Diese Nummer hat keine Bescheinigung")).to_be_visible()
    context.close()


@pytest.mark.parametrize("state", ["replaced", "withdrawn"])
def test_what_no_longer_stands_says_so_before_all_else(site: Site, page: Page, state: str) -> None:
    one: Issued = getattr(site, state)
    page.goto(site.at(one.number))
    first = page.get_by_role("main").inner_text().strip().splitlines()[0]
    assert first == state.capitalize()


@pytest.mark.parametrize("state", ["standing", "replaced", "withdrawn"])
def test_without_scripts_it_still_says_whether_it_stands(site: Site, browser: Browser, state: str) -> None:
    one: Issued = getattr(site, state)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site.at(one.number))
    words = {"standing": "In force", "replaced": "Replaced", "withdrawn": "Withdrawn"}
    expect(page.get_by_text(words[state], exact=True)).to_be_visible()
    expect(page.get_by_text("Your browser runs no scripts here")).to_be_visible()
    expect(page.get_by_text("sha256sum FILE")).to_be_visible()
    expect(page.locator("label")).to_be_hidden()
    context.close()


def test_over_plain_http_it_says_why_it_does_not_compare(site: Site, page: Page) -> None:
    page.goto(site.at(site.standing.number, ELSEWHERE))
    assert page.evaluate("crypto.subtle === undefined")
    expect(page.get_by_text("This page did not come over a secure connection")).to_be_visible()
    expect(page.get_by_text("sha256sum FILE")).to_be_visible()
    expect(page.locator("label")).to_be_hidden()


@pytest.mark.parametrize(
    "state", ["standing", "replaced", "withdrawn", "insecure", "unknown", "closed", "client"]
)
@pytest.mark.parametrize("viewport", [PHONE, DESK] if LONG else [PHONE], ids=lambda size: str(size["width"]))
def test_axe_finds_no_violation(site: Site, browser: Browser, state: str, viewport: Any) -> None:
    """axe-core, with all of its rules: WCAG 2.0 to 2.2 at A, AA and AAA, and good practice."""
    context = browser.new_context(viewport=viewport)
    page = context.new_page()
    if state in ("insecure", "unknown"):
        page.goto(site.at(site.standing.number, ELSEWHERE) if state == "insecure" else site.at("X-1"))
    elif state == "closed":
        page.goto(f"http://127.0.0.1:{site.port}/clients/nothing")
        expect(page.get_by_role("heading", name="This link opens nothing")).to_be_visible()
    elif state == "client":
        page.goto(site.link)
        expect(page.get_by_role("heading", name="The parts at a glance")).to_be_visible()
        page.evaluate("document.querySelector('tbody th').firstChild.data = 'W'.repeat(80) + ' '")
        assert page.evaluate("document.documentElement.scrollWidth") == viewport["width"]
    else:
        one: Issued = getattr(site, state)
        page.goto(site.at(one.number))
        choose(page, one.pdf)
        page.get_by_text("Compare by hand").click()
        expect(page.get_by_text("byte for byte")).to_be_visible()
    found = examined(page)
    context.close()
    assert found.response["passes"]
    assert found.response["violations"] == [], found.generate_report()

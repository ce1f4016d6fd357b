"""A crew's phone in the tests: the page in Chromium, touched as by a thumb, and every touch counted.

A value is a number or a text that is entered or chosen from a list; a tap is any touch except
that of a keypad's key.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from tests.api import Api, building

SHARED = ("GF-N", "GF-E", "GF-S", "GF-W", "UF-N", "UF-E", "UF-S", "UF-W")
UNDONE_UNTIL_MS = 6500
"""The page sends an act once it cannot be undone any more."""


def twelve_parts() -> dict[str, Any]:
    """A fixed house: 8 shared walls, 2 roof slopes and 2 gables of closed bays."""
    demo = {cavity["label"]: cavity for cavity in building()["cavities"]}
    walls = [{**demo[label], "dividers": False} for label in SHARED]
    gables = [{**demo["WG-W"], "label": label} for label in ("WG-W", "WG-E")]
    return {**building(), "cavities": [*walls, demo["RS-N"], demo["RS-S"], *gables]}


def crew_of(api: Api, job: Any, name: str, day: str) -> str:
    """The token of a new crew's link, which is assigned this job on a day."""
    crew = api.send("POST", "/v1/crews", {"name": name}, Idempotency_Key=name).json
    days = {"days": [{"day": day, "crew": crew["id"]}]}
    assert api.send("PUT", f"/v1/jobs/{job['id']}/assignment", days).status_code == 200
    return str(crew["url"].partition("#")[2])


@dataclass(slots=True, kw_only=True)
class Phone:
    """A phone with the crew's page open, and what it cost to say what was said."""

    page: Page
    base: str
    values: int = 0
    taps: int = 0
    complaints: list[str] = field(default_factory=list)

    def open(self, token: str) -> None:
        """Open the link, as it came in a message."""
        self.page.goto(f"{self.base}/crew/#{token}")

    def introduce(self, name: str) -> None:
        """Say who records."""
        self.write("#who", name)
        self.tap(self.page.locator("button.main"))
        expect(self.page.locator("ul.cards a.title").first).to_be_visible()

    def tap(self, what: Locator | str) -> None:
        """Touch something."""
        found = self.page.locator(what) if isinstance(what, str) else what
        found.click()
        self.taps += 1

    def named(self, path: str) -> Locator:
        """The link of a view to another one."""
        return self.page.locator(f'#view a[href="#/{path}"]').first

    def follow(self, path: str) -> None:
        """Touch the link to a view."""
        self.tap(self.named(path))

    def number(self, name: str, value: float) -> None:
        """Type a number on the page's own keypad, which is opened first where it is not."""
        place = self.page.locator(f'.number:has(input[id="{name}"])')
        if not place.locator(".keys").is_visible():
            self.tap(place.locator("input"))
        for key in f"{value:g}".replace(".", ","):
            place.locator(".keys").get_by_role("button", name=key, exact=True).click()
        self.values += 1

    def write(self, field: str, text: str) -> None:
        """Type a text with the phone's keyboard."""
        self.tap(field)
        self.page.keyboard.type(text)
        self.values += 1

    def save(self, value: str = "") -> None:
        """Touch the button of the form that is shown first."""
        with_value = f'[value="{value}"]' if value else ":not([type=button])"
        self.tap(self.page.locator(f"#view form > button{with_value}").first)

    def part(self, job: Any, label: str, more: str = "") -> str:
        """The path of a part's view."""
        return f"job/{job['id']}/part/{quote(label)}{more}"

    def costs(self) -> tuple[int, int]:
        """The values and taps since they were asked for last."""
        spent = (self.values, self.taps)
        self.values = self.taps = 0
        return spent

    def sent(self) -> None:
        """Wait until everything is with the service; nothing can be undone any more."""
        self.page.clock.run_for(UNDONE_UNTIL_MS)
        expect(self.page.locator("header .waits:not(.some)")).to_be_visible(timeout=15_000)


@contextmanager
def phone(browser: Browser, port: int, language: str = "en", **options: Any) -> Iterator[Phone]:
    """A phone of the crew's; whatever the page complains of fails the test."""
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, locale=language, has_touch=True, is_mobile=True, **options
    )
    try:
        yield opened(context, port)
    finally:
        context.close()


def opened(context: BrowserContext, port: int) -> Phone:
    """A new page of a phone."""
    page = context.new_page()
    page.clock.install()
    made = Phone(page=page, base=f"http://127.0.0.1:{port}")
    page.on("pageerror", lambda error: made.complaints.append(str(error)))
    return made

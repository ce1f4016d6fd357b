"""axe-core in a browser's page, with all of its rules: put into it once, and brief about what is well."""

from axe_playwright_python.base import AXE_SCRIPT, AxeResults
from playwright.sync_api import Page

_WCAG = [f"wcag{version}{level}" for version in ("2", "21", "22") for level in ("a", "aa", "aaa")]
# What passes is told by its rule and one element: to name and carry over every one costs most of the time.
_OPTIONS = {"runOnly": [*_WCAG, "best-practice"], "resultTypes": ["violations"]}


def examined(page: Page) -> AxeResults:
    """What axe-core says of the page: WCAG 2.0 to 2.2 at A, AA and AAA, and good practice."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    return AxeResults(page.evaluate("options => axe.run(options)", _OPTIONS))

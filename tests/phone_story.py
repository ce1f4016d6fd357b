"""What a crew does on a phone in a story of several days, and how its time passes."""

import json
from datetime import datetime, timedelta
from typing import Any

from tests.story_clock import BEGINS, Clock, StoryPhone


def fresh(one: StoryPhone) -> None:
    """The phone asks what there is that is new."""
    one.page.evaluate("dispatchEvent(new Event('online'))")


def later(one: StoryPhone, hours: float) -> None:
    """Work takes its time: what was said is sent, and hours pass."""
    one.sent()
    Clock.pass_(timedelta(hours=hours))


def tomorrow(one: StoryPhone) -> None:
    """What was said is sent, and the next morning comes."""
    one.sent()
    morning = datetime.combine(Clock.at.date() + timedelta(days=1), BEGINS.timetz())
    Clock.pass_(morning - Clock.at)


def number_of_part(one: StoryPhone, label: str, bags: float, **chosen: str) -> None:
    """So many bags for a part, done as planned, with what else is asked for."""
    one.show(one.of(label))
    one.number("bags", bags)
    one.page.locator("[name=run_empty]").check()
    for group, name in chosen.items():
        one.choose(group, name)
    one.save()


def take_core(one: StoryPhone, label: str, bay: int, grams: float) -> None:
    """A core of these grams; its hole is closed."""
    one.show(one.of(label, "/core"))
    one.number("mass_g", grams)
    one.choose("bay", str(bay))
    one.tap(one.page.locator("#feel button").first)
    closed = one.page.locator('#view form > button[value="closed"]').count()
    one.save("closed" if closed else "")


def depth(one: StoryPhone, label: str, millimetres: float) -> None:
    """A depth as it was found."""
    one.show(one.of(label, "/found"))
    one.number("depth", millimetres)
    one.save()


def correct(one: StoryPhone, label: str, text: str, right: float | None) -> None:
    """Put right, or take back, what is listed of a part."""
    one.show(one.of(label))
    one.page.locator(".recorded li", has_text=text).get_by_role("link").click()
    one.page.get_by_role("button", name="Typed wrong" if right else "Recorded twice").click()
    if right:
        one.number("right", right)
        one.save("right")
    else:
        with one.recorded():
            one.page.locator("#view form > button.stop").click()


def day_s_end(one: StoryPhone, **said: float) -> None:
    """What was vacuumed up, and what else there is to say."""
    one.show(one.at("/day"))
    for name, value in {**said, "people": 2, "hours": 8}.items():
        one.number(name, value)
    one.save()


def saved_file(one: StoryPhone) -> Any:
    """What waits on the phone, as the file that its page offers."""
    one.show("unsent")
    with one.page.expect_download() as saved:
        one.page.get_by_role("button", name="Save unsent").click()
    return json.loads(saved.value.path().read_text())

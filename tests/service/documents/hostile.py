"""Texts as a stranger might send them, put wherever the service takes free text."""

from typing import Any

MARKUP = (
    '<script>alert(1)</script><img src="http://127.0.0.1:9/a.png"><svg onload="x()"></svg>'
    '<image href="file:///etc/passwd"/><link rel="attachment" href="file:///etc/passwd">'
    '<style>@import "http://127.0.0.1:9/a.css";</style>{{ 7 * 7 }}{% raw %}'
)
ENDLESS = "X" * 300
FREE = frozenset(
    (
        *("name", "address", "email", "phone", "reference", "signed_by", "maker", "sheet", "label", "cavity"),
        *(
            "reason",
            "granted_by",
            "stated_by",
            "tested_by",
            "remark",
            "reading",
            "tape",
            "tag",
            "by",
            "settings",
            "text",
        ),
    )
)


def everywhere(facts: Any, text: str) -> Any:
    """The same facts with `text` in every field of free text; labels stay told apart by their end."""
    if isinstance(facts, dict):
        return {
            key: text + value if key in FREE and isinstance(value, str) else everywhere(value, text)
            for key, value in facts.items()
        }
    return [everywhere(each, text) for each in facts] if isinstance(facts, list) else facts

"""Documents with hostile texts in every field: what the renderer does is watched from inside its process.

Python tells an audit hook of every file that is opened, every connection and every
process. The hook sees no library's own calls; those that read fonts and colour
profiles take their paths from the system, not from a document.
"""

import base64
import json
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from typing import Any

import fontTools
import PIL
import pytest
import weasyprint
from pypdf import PdfReader

import service.documents

TEXTS = {
    "addresses": "http://127.0.0.1:9/a https://127.0.0.1:9/b file:///etc/passwd //127.0.0.1:9/c",
    "image": "<img src='http://127.0.0.1:9/a.png'><img src='file:///etc/passwd'>",
    "attachment": "<link rel=attachment href='file:///etc/passwd'>",
    "style": "<style>@import 'http://127.0.0.1:9/a.css';@font-face{src:url(file:///etc/passwd)}</style>",
    "style-attribute": '" style="background:url(\'file:///etc/passwd\')" x="',
    "svg": "</text><image href='file:///etc/passwd'/><use href='http://127.0.0.1:9/a.svg#x'/><text>",
    "entity": "<!DOCTYPE x [<!ENTITY e SYSTEM 'file:///etc/passwd'>]>&e;",
    "frame": "</td></tr></table><iframe src='file:///etc/passwd'></iframe><object data='file:///etc/passwd'>",
    "base": "<base href='http://127.0.0.1:9/'><meta http-equiv=refresh content='0;url=http://127.0.0.1:9/'>",
    "link": "<a href='javascript:alert(1)'>x</a><a href='http://127.0.0.1:9/'>y</a>",
    "script": "<script src='http://127.0.0.1:9/a.js'></script>",
    "entities": "&#60;img src=http://127.0.0.1:9/a.png&#62; &lt;img&gt;",
    "template": "{{ ''.__class__.__mro__ }}{% include '/etc/passwd' %}{# x #}",
    "format": "%(num)s %s %% {0} {x.__class__}",
    "asset": "asset:../../settings.py asset:page.css",
}

# Each field gets the next text; with another start it is another one.
STARTS = (0, 7)
VERIFIED_AT = "https://specimen.example/verify/"

# What is imported late is imported by the first rendering, which is not watched.
WATCHED = """
import base64, collections, itertools, json, sys
from tests.service.documents import facts
from tests.service.documents.hostile import FREE
from service.documents.papers import certificate, crew_sheet, quote

def spoiled(each, before):
    if isinstance(each, dict):
        return {
            name: before[value] + value if name in FREE and isinstance(value, str) else spoiled(value, before)
            for name, value in each.items()
        }
    return [spoiled(one, before) for one in each] if isinstance(each, list) else each

def made(texts):
    # One name stays one name wherever it stands.
    before = collections.defaultdict(itertools.cycle(texts).__next__)
    record = spoiled(facts.certificate(facts.a_few()), before)
    return {
        "quote": quote.pdf(spoiled(facts.quote(facts.a_few()), before)),
        "crew_sheet": crew_sheet.pdf(spoiled(facts.crew_sheet(facts.a_few()), before)),
        "certificate": certificate.pdf(record, facts.canonical(record)),
    }

made([""])
seen = []
WATCHED = ("open", "os.", "socket.", "subprocess.", "urllib.", "http.", "ftplib.", "shutil.", "import")
sys.addaudithook(lambda event, args: event.startswith(WATCHED) and seen.append([event, repr(args)[:200]]))
answer, texts = {}, list(json.load(sys.stdin).values())
for start in map(int, sys.argv[1:]):
    seen.clear()
    documents = made(texts[start:] + texts[:start])
    answer[start] = {
        "seen": list(seen),
        "documents": {kind: base64.b64encode(pdf).decode() for kind, pdf in documents.items()},
    }
print(json.dumps(answer))
"""


OURS = tuple(
    str(Path(module.__file__).parent)
    for module in (service.documents, weasyprint, fontTools, PIL)
    if module.__file__
)


@pytest.fixture(scope="module")
def watched() -> dict[str, Any]:
    """What was seen and made with the texts, by start."""
    run = subprocess.run(
        [sys.executable, "-c", WATCHED, *map(str, STARTS)],
        input=json.dumps(TEXTS),
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    found: dict[str, Any] = json.loads(run.stdout)
    return found


def documents(watched: dict[str, Any], start: int) -> dict[str, PdfReader]:
    found = watched[str(start)]["documents"]
    return {kind: PdfReader(BytesIO(base64.b64decode(pdf))) for kind, pdf in found.items()}


@pytest.mark.parametrize("start", STARTS, ids=str)
def test_nothing_is_opened_but_what_comes_with_the_program(watched: dict[str, Any], start: int) -> None:
    foreign = [
        (event, what)
        for event, what in watched[str(start)]["seen"]
        if event != "open" or not what.removeprefix("('").startswith(OURS)
    ]
    assert foreign == []


@pytest.mark.parametrize("start", STARTS, ids=str)
def test_nothing_comes_in_and_nothing_leads_out(watched: dict[str, Any], start: int) -> None:
    for kind, pdf in documents(watched, start).items():
        attached = {"record.json"} if kind == "certificate" else set()
        assert set(pdf.attachments) == attached
        actions = [
            annotation.get_object().get("/A", {})
            for page in pdf.pages
            for annotation in page.get("/Annots", ())
        ]
        led_to = {str(action.get("/URI", action.get("/S"))) for action in actions} - {"/GoTo"}
        assert all(address.startswith(VERIFIED_AT) for address in led_to), led_to
        assert "/OpenAction" not in pdf.trailer["/Root"]
        assert "root:x:0" not in "".join(page.extract_text() for page in pdf.pages)


@pytest.mark.parametrize("start", STARTS, ids=str)
def test_the_texts_are_printed_as_texts(watched: dict[str, Any], start: int) -> None:
    printed = ""
    for pdf in documents(watched, start).values():
        printed += "".join("".join(page.extract_text() for page in pdf.pages).split())
    assert [name for name, text in TEXTS.items() if "".join(text.split())[:30] not in printed] == []

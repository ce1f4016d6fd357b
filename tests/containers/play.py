"""A client of the service in its containers: `play.py status`, `play.py demo SALES CREW OUT`."""

import sys
from pathlib import Path
from urllib.error import HTTPError, URLError
from urllib.request import urlopen

BASE = "https://localhost"


def status() -> int:
    """What /readyz answers; 0 where nobody does."""
    try:
        with urlopen(f"{BASE}/readyz", timeout=5) as answer:
            return int(answer.status)
    except HTTPError as error:
        return error.code
    except (URLError, OSError):
        return 0


def demo(sales: str, crew: str, out: Path) -> None:
    """From a quote to a certificate; the worker makes the documents."""
    from service.demo import demo as played

    out.mkdir(exist_ok=True)
    played.walk(BASE, {"sales": sales, "crew": crew}, out)


if __name__ == "__main__":
    if sys.argv[1] == "status":
        print(status())
    else:
        demo(sys.argv[2], sys.argv[3], Path(sys.argv[4]))

"""Files that a command writes: whole under their names, or not at all."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from service.errors import Conflict


@contextmanager
def written(file: Path) -> Iterator[Path]:
    """Where to write what becomes `file`, a file or a folder, when the block has ended; raises Conflict.

    Of what was broken off, by a full disk or by somebody, nothing stays; what is there is not replaced.
    """
    if file.exists():
        raise Conflict(f"{file} is there already: nothing was written.")
    partial = file.with_name(f"{file.name}.partial")
    try:
        yield partial
        partial.rename(file)
    except BaseException:
        _remove(partial)
        raise


def _remove(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)

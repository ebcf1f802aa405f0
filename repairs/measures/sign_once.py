"""Prints one condition report and signs it: ``python -m … FOLDER PHOTOS``.

FOLDER is also the house's data folder (SAUTEREAU_DATA), so the pictures lie in its store.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import django
from django.conf import settings

from repairs.measures.child import tell
from repairs.measures.content import read_pictures, sheet

TIMES = 5


def main() -> None:
    """Print once, sign some times, in this process: seconds of CPU of each, loading apart."""
    folder, count = Path(sys.argv[1]), int(sys.argv[2])
    django.setup()
    # the apps must be ready first
    from repairs.press.render import render  # noqa: PLC0415 - see above
    from repairs.press.sealing import seal  # noqa: PLC0415 - see above
    from repairs.press.signing.keyfile import make_key  # noqa: PLC0415 - see above

    make_key(Path(settings.SEAL_KEY_FILE))
    whole = sheet(read_pictures(folder, count))
    printed: list[bytes] = []
    render_s = _cpu_s(lambda: printed.append(render(whole)[0]))
    first_s = _cpu_s(lambda: seal(printed[0], whole))
    sign_s = median(_cpu_s(lambda: seal(printed[0], whole)) for _time in range(TIMES))
    tell({"render_s": render_s, "load_s": first_s - sign_s, "sign_s": sign_s})


def _cpu_s(act: Callable[[], object]) -> float:
    since = time.process_time()
    act()
    return time.process_time() - since


if __name__ == "__main__":
    main()

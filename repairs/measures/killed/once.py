"""Kills processes in the house of the data folder: ``python -m … SEED KIND=KILLS…``.

Tells, by kind, how many were killed and what was wrong afterwards.
"""

from __future__ import annotations

import os
import sys
import time
from random import Random
from typing import Any

import django

from repairs.measures.child import tell


def main() -> None:
    """Set the house up, and kill."""
    from workshop.prepare import prepare  # noqa: PLC0415 - before the settings are read

    os.environ.setdefault("SAUTEREAU_LOG", "CRITICAL")  # what is broken here is broken on purpose
    prepare()
    django.setup()
    from django.core.management import call_command  # noqa: PLC0415 - the apps must be ready first

    from repairs.measures.killed.house import lay  # noqa: PLC0415 - as above
    from repairs.measures.killed.kinds import kill  # noqa: PLC0415 - as above

    call_command("migrate", verbosity=0)
    seed, laid, told = int(sys.argv[1]), lay(), {}
    for words in sys.argv[2:]:
        kind, _is, kills = words.partition("=")
        began = time.monotonic()
        tally = kill(kind, laid, int(kills), Random(f"{seed} {kind}"))  # noqa: S311 - moments
        said: dict[str, Any] = {**tally.counts, "told": tally.told}
        told[kind] = {**said, "seconds": round(time.monotonic() - began, 1)}
        sys.stderr.write(f"{kind}: {told[kind]}\n")
    tell({"kinds": told})


if __name__ == "__main__":
    main()

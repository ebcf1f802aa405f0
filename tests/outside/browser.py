"""A real Chromium for tests: the machine's own, since Playwright's download is not needed."""

import shutil

from playwright.sync_api import Browser, Playwright

NAMES = ("chromium", "chromium-browser", "google-chrome")
# Without the second group the browser calls its maker at every start and, where the network is
# closed, each test waits for those calls to be refused.
FLAGS = [
    "--no-sandbox",  # tests may run as root, and only pages of this project are opened
    "--disable-dev-shm-usage",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def launch(playwright: Playwright, *more: str) -> Browser:
    """Start a headless browser, with more flags perhaps.

    Raises RuntimeError naming the package when there is none.
    """
    executable = next(filter(None, map(shutil.which, NAMES)), None)
    if executable is None:
        raise RuntimeError(
            f"No browser for the tests (looked for {', '.join(NAMES)}): "
            "install the Debian package chromium."
        )
    return playwright.chromium.launch(
        executable_path=executable, headless=True, args=[*FLAGS, *more]
    )

"""Loggers' files of the tests."""

import numpy as np

PLAIN = (
    "Date,RH,T\n2025-01-01 00:00,45.5,20.1\n2025-01-01 01:00,46.0,20.2\n2025-01-01 02:00,47,20\n"
)


def lines(header, *rows):
    return "\n".join([header, *rows]) + "\n"


def a_long_log(n, separator=",", day_first=False):
    step = np.arange(n) * 300
    when = np.datetime64("2023-01-01T00:00") + step.astype("timedelta64[s]")
    rh = 50 + 10 * np.sin(step / 86_400 / 365 * 2 * np.pi) + 3 * np.sin(step / 7000)
    texts = list(when.astype("datetime64[m]").astype(str))
    if day_first:
        texts = [f"{t[8:10]}/{t[5:7]}/{t[:4]} {t[11:]}" for t in texts]
    lines_ = (separator.join((t, f"{v:.2f}", "20.0")) for t, v in zip(texts, rh, strict=True))
    return "\n".join([separator.join(("Date", "RH", "T")), *lines_]), np.round(rh, 2)

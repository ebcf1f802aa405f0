"""The mathematics of the trade: pure, typed, without Django, files, clock or network."""

"""What puts the house to work: settings, the first start, the server's way in."""

import gc

# Raised with each release; it stands in the footer, in every paper's metadata and in every backup.
__version__ = "1.0"

# Starting makes a hundred thousand small objects and a report a million, which all live to the end.
# Looking among them for rubbish after every 700 takes a sixth of the time.
gc.set_threshold(50_000, 20, 100)

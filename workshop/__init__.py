"""What puts the house to work: settings, the first start, the server's way in."""

# Raised with each release; it stands in the footer, in every paper's metadata and in every backup.
__version__ = "1.0"

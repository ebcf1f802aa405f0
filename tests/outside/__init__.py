"""Checkers that were not written for this project: a browser, axe-core and veraPDF."""

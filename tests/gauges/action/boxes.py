"""Keyboxes of the tests: two strings, keys with their tangents, and one check out of the answer."""

from repairs.gauges.everything import gauges

STRING = {"nut_height_mm": 20.0, "bridge_height_mm": 28.0}


def key(number, at, gap=(1.5, 1.5), **more):
    return {"key": number, "at_mm": [at, at], "gap_mm": list(gap), **more}


def box(keys, **more):
    return {"length_mm": 400, "strings": [STRING, STRING], "keys": keys, **more}


def run(data):
    return gauges()["action"].run(data)


def the(result, kind, note, string=None, k=None):
    """The one check of that kind."""
    found = [
        c
        for c in result["checks"]
        if (c["kind"], c["note"]) == (kind, note)
        and string in (None, c["string"])
        and k in (None, c["key"])
    ]
    assert len(found) == 1, found
    return found[0]

"""Tags as W3C Web Annotations, so that any reader of that standard can show them.

Source: W3C Recommendation “Web Annotation Data Model”, 23 February 2017. A point or an area is
an SvgSelector in pixels of the picture that ``source`` names; so is a line.
"""

from __future__ import annotations

from typing import Any

from repairs.photos.models import Tag

CONTEXT = "http://www.w3.org/ns/anno.jsonld"


def annotation(tag: Tag, *, site: str, words: str) -> dict[str, Any]:
    """Return one annotation. ``words`` is the body's text; ``site`` the address of the house."""
    photo = tag.photo
    width, height = photo.screen_size
    return {
        "@context": CONTEXT,
        "id": f"{site}{photo.get_absolute_url()}#tag-{tag.pk}",
        "type": "Annotation",
        "motivation": "describing",
        "created": tag.drawn_at.isoformat(),
        "body": {"type": "TextualBody", "value": words, "format": "text/plain"},
        "target": {
            "source": f"{site}{photo.screen_address}",
            "selector": {
                "type": "SvgSelector",
                "value": _svg(tag.shape, tag.points, width, height),
            },
        },
    }


def _svg(shape: str, points: list[list[float]], width: int, height: int) -> str:
    pixels = [(round(x * width, 1), round(y * height, 1)) for x, y in points]
    if shape == Tag.Shape.POINT:
        drawn = f'<circle cx="{pixels[0][0]}" cy="{pixels[0][1]}" r="1"/>'
    else:
        path = " ".join(f"{x},{y}" for x, y in pixels)
        name = "polygon" if shape == Tag.Shape.POLYGON else "polyline"
        drawn = f'<{name} points="{path}"/>'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">'
    return f"{head}{drawn}</svg>"


def page(tags: list[Tag], *, address: str, site: str, words: dict[int, str]) -> dict[str, Any]:
    """Return an AnnotationPage of all tags; ``words`` gives the text of each tag by its id."""
    items = [annotation(tag, site=site, words=words.get(tag.pk, "")) for tag in tags]
    return {
        "@context": CONTEXT,
        "id": f"{site}{address}",
        "type": "AnnotationPage",
        "items": items,
    }

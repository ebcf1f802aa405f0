"""What the page of a photo shows, and what its module is told."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.findings.forms import FindingForm
from repairs.findings.laying import Laid
from repairs.findings.models import Finding
from repairs.findings.part_maps import BesidePhoto, beside
from repairs.findings.tag_views import tag_json
from repairs.findings.usual import usual_terms
from repairs.findings.vocabulary import terms
from repairs.instruments.part_models import Part
from repairs.instruments.scales import scale_choices
from repairs.people.access import SignedInRequest, may
from repairs.photos.forms import DescribeForm
from repairs.photos.models import Photo

MOST_NEAR = 5


def photo_facts(request: SignedInRequest, photo: Photo, form: FindingForm) -> dict[str, Any]:
    """All that the page of a photo shows to this reader; ``form`` is that of a new finding."""
    case = photo.case
    numbers = list(case.photos.ready().values_list("number", flat=True))
    is_open = case.ended_at is None and may(request.user, "record")
    looks = is_open and photo.state == Photo.State.READY and photo.withdrawn_at is None
    findings = list(case.findings.present())
    tagger = _tagger_data(photo, findings, readonly=not is_open)
    facts = {
        "case": case,
        "photo": photo,
        "back_name": _back_name(photo, numbers),
        "before": max((n for n in numbers if n < photo.number), default=None),
        "after": min((n for n in numbers if n > photo.number), default=None),
        "describe": DescribeForm(instance=photo),
        "looks": looks,
        "tagger": tagger,
    }
    if not looks:
        return facts
    look, shown = _look_facts(request, photo, kept=len(findings))
    tagger["look"] = look
    return facts | shown | {"form": form}


def _look_facts(
    request: SignedInRequest, photo: Photo, *, kept: int
) -> tuple[dict[str, Any], dict[str, Any]]:
    """What the module of the page is told to look over with, and what the page shows for it."""
    parts = _parts_of(photo.case)
    near = _parts_on(photo)
    drawn = beside(photo, request.GET.get("map", ""))
    look = _look_data(request, photo, parts, drawn) | {"near": near, "kept": kept}
    return look, {
        "drawn": drawn,
        "near": [part.label() for pk in near for part in parts if part.pk == pk],
        "kept": kept,
        "stabilities": Finding.Stability.choices,
        "urgencies": scale_choices("urgency"),
    }


def _parts_of(case: Case) -> list[Part]:
    parts = list(case.instrument.parts.all())
    for part in parts:
        part.instrument = case.instrument
    return parts


def _back_name(photo: Photo, numbers: list[int]) -> str:
    """The case, and which of its photos this is; a photo that was withdrawn has no place."""
    if photo.number not in numbers:
        return photo.case.number
    place = {"place": numbers.index(photo.number) + 1, "count": len(numbers)}
    words = _("photo %(place)s of %(count)s") % place
    return f"{photo.case.number}, {words}"


def _tagger_data(photo: Photo, findings: list[Finding], *, readonly: bool) -> dict[str, Any]:
    tags = photo.tags.filter(withdrawn_at=None).select_related("finding_link__finding")
    base = [photo.case.number, photo.number]
    return {
        "readonly": readonly,
        "tags": [tag_json(tag) for tag in tags],
        "findings": [{"id": f.pk, "number": f.number, "label": str(f)} for f in findings],
        "urls": {
            "create": reverse("findings:tag_create", args=base),
            "change": reverse("findings:tag_change", args=[*base, 0]),
            "withdraw": reverse("findings:tag_withdraw", args=[*base, 0]),
            "restore": reverse("findings:tag_restore", args=[*base, 0]),
        },
    }


def _look_data(
    request: SignedInRequest, photo: Photo, parts: list[Part], drawn: BesidePhoto | None
) -> dict[str, Any]:
    """What is proposed for a tap: parts by their keys, and the usual damages of each."""
    case, base = photo.case, [photo.case.number, photo.number]
    kind = case.instrument.pattern
    return {
        "key": f"{request.user.pk}-{case.number}-{photo.number}",
        "parts": [
            {
                "id": part.pk,
                "key": part.key,
                "label": part.label(),
                "usual": usual_terms(kind, part.key, part.material),
            }
            for part in parts
        ],
        "units": {key: list(term["extent_units"]) for key, term in terms().items()},
        "next": case.next_finding,
        "map": drawn.name if drawn else "",
        "laid": laid_json(drawn.laid) if drawn and drawn.laid else None,
        "urls": {
            "note": reverse("findings:note_seen", args=base),
            "more": reverse("findings:more_of", args=[*base, 0]),
            "back": reverse("findings:take_back", args=[*base, 0]),
            "edit": reverse("findings:edit", args=[case.number, 0]),
            "lay": reverse("findings:lay_map", args=base),
            "map": reverse("findings:part_map", args=[case.number, "name"]),
        },
    }


def _parts_on(photo: Photo) -> list[int]:
    """Ids of the parts of findings that were tagged on this photo, the latest first."""
    found = photo.tags.filter(withdrawn_at=None, finding_link__finding__withdrawn_at=None)
    ids = found.order_by("-pk").values_list("finding_link__finding__part", flat=True)
    return list(dict.fromkeys(part for part in ids if part is not None))[:MOST_NEAR]


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding as the page's module holds it."""
    return {
        "id": finding.pk,
        "number": finding.number,
        "label": str(finding),
        "part": finding.part_id,
        "term": finding.term,
        "severity": finding.severity,
        "stability": finding.stability,
        "urgency": finding.urgency,
        "revision": finding.revision,
    }


def laid_json(laid: Laid) -> dict[str, Any]:
    """The two matrices, from shares of the photo to units of the map and back."""
    return {"to_map": laid.to_map, "to_photo": laid.to_photo}

"""Verbs of looking over a photo: a finding born where it was tapped, taken back, a map laid."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.findings.actions import add_finding, bind_tag, draw_tag, set_withdrawn
from repairs.findings.laid_models import LaidMap
from repairs.findings.laying import Point
from repairs.findings.models import Finding, FindingTag
from repairs.people.models import User
from repairs.photos import actions as photo_actions
from repairs.photos.models import Photo, Tag


@deed()
def note_seen(finding: Finding, tag: Tag | None, *, by: User, at: dt.datetime) -> Finding:
    """Note the finding with its place on a photo: a new tag, or one that was a draft.

    A finding of the same tap, or one that is there already with the very same place, is given back
    in its stead: a phone sends anew what it does not know to have arrived.
    """
    locked_case(finding.case_id)
    known = _by_tap(finding) or _twin(finding, tag)
    if known is not None:
        return known
    add_finding(finding, by=by, at=at)
    if tag is None:
        return finding
    if tag._state.adding:
        draw_tag(tag, finding, at=at)
    else:
        bind_tag(tag, finding, by=by, at=at)
    return finding


def _by_tap(finding: Finding) -> Finding | None:
    rows = Finding.objects.filter(case=finding.case, tap=finding.tap)
    return rows.first() if finding.tap else None


def _twin(finding: Finding, tag: Tag | None) -> Finding | None:
    """The finding that says the same of the same place of the photo; None when there is none."""
    if tag is None:
        return None
    links = FindingTag.objects.filter(
        tag__photo=tag.photo,
        tag__withdrawn_at=None,
        finding__withdrawn_at=None,
        finding__part=finding.part,
        finding__term=finding.term,
        finding__severity=finding.severity,
    ).select_related("tag", "finding__part__instrument")
    same = (one for one in links if (one.tag.shape, one.tag.points) == (tag.shape, tag.points))
    found = next(same, None)
    return found.finding if found else None


@deed()
def take_back(finding: Finding, photo: Photo, *, by: User, at: dt.datetime) -> None:
    """Undo a finding that was noted on the photo: it is withdrawn, with its places there."""
    locked_case(finding.case_id)
    set_withdrawn(finding, True, by=by, at=at)
    for tag in Tag.objects.filter(photo=photo, withdrawn_at=None, finding_link__finding=finding):
        photo_actions.set_tag_withdrawn(tag, True, by=by, at=at)


@deed()
def lay_map(
    photo: Photo, name: str, taps: Mapping[str, Point], *, by: User, at: dt.datetime
) -> LaidMap:
    """Keep how the map of that name lies on the photo; a later laying takes its place."""
    locked_case(photo.case_id)
    said = {"map": name, "taps": dict(taps), "laid_at": at, "laid_by": by}
    laid, _made = LaidMap.objects.update_or_create(photo=photo, defaults=said)
    record(by, "map.laid", photo.case, at=at, photo=photo.number, map=name)
    return laid


@deed()
def lift_map(photo: Photo, *, by: User, at: dt.datetime) -> None:
    """Take the map off the photo again; nothing that was found by it changes."""
    locked_case(photo.case_id)
    gone, _rows = LaidMap.objects.filter(photo=photo).delete()
    if gone:
        record(by, "map.lifted", photo.case, at=at, photo=photo.number)

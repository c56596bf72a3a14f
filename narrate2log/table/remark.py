"""One plain sentence for a row, made from its fields and never from raw speech."""

from __future__ import annotations

from narrate2log.reading.advice import NOT
from narrate2log.records import Fields
from narrate2log.table.merge import Row
from narrate2log.units import LengthUnit, decimals_told, mm_to_length
from narrate2log.wording.lexicon import Names


def _number(value: float) -> str:
    return f"{value:g}"


def _where(row: Row, unit: LengthUnit) -> str:
    at = row.placement
    if not row.placed or at.distance_mm is None or row.general:
        return ""
    word = "at" if at.basis in ("spoken", "counter") else "at about"
    ends = (at.low_mm, at.high_mm) if at.low_mm is not None and at.high_mm is not None else (0, 0)
    low, high = (mm_to_length(mm, unit) for mm in ends)
    # a distance that may be feet off is told without tenths; in metres a tenth is enough to find it by
    decimals = min(1, decimals_told(low, high, unit))
    place = f"{mm_to_length(at.distance_mm, unit):.{decimals}f}"
    if row.end_mm is not None:
        return f" from {place} to {mm_to_length(row.end_mm, unit):.{decimals}f} {unit}"
    return f" {word} {place} {unit}"


def _details(fields: Fields) -> list[str]:
    details = []
    if fields.severity:
        details.append(f"called {fields.severity}")
    if fields.clock_from is not None:
        if fields.clock_to in (None, fields.clock_from):
            details.append(f"at {fields.clock_from} o'clock")
        else:
            details.append(f"from {fields.clock_from} to {fields.clock_to} o'clock")
    if fields.amount_pct is not None:
        details.append(f"about {_number(fields.amount_pct)} percent")
    if fields.amount_in is not None:
        details.append(f"about {_number(fields.amount_in)} in")
    if fields.depth_ft is not None:
        details.append(f"{_number(fields.depth_ft)} ft deep")
    return details


def _low(label: str) -> str:
    return label if label[:2].isupper() else label[:1].lower() + label[1:]


def _advice(row: Row, lexicon: Names, unit: LengthUnit) -> str:
    """ "Advised for roots at 31.0 ft: cutting, jetting", or only that there was advice."""
    about = ", ".join(
        _low(str(lexicon.features[key]["label"])) for key in row.objects if key in lexicon.features
    )
    where = _where(row, unit)
    if row.sense is None:
        return f"Advice given on {about}{where}" if about else f"Advice given by the inspector{where}"
    labels = {entry["kind"]: str(entry["label"]) for entry in lexicon.entries if entry.file == "advice.toml"}
    works = [
        f"no {labels.get(kind.removeprefix(NOT), kind)}" if kind.startswith(NOT) else labels.get(kind, kind)
        for kind in row.sense.split("+")
    ]
    return f"Advised{f' for {about}' if about else ''}{where}: {', '.join(works)}"


def remark(row: Row, lexicon: Names, unit: LengthUnit) -> str:
    """The sentence, fit for a client: what, where, how it was called, and how it stands."""
    if row.feature == "recommendation":
        return f"{_advice(row, lexicon, unit)}."
    entry = lexicon.features.get(row.feature)
    label = str(entry["label"]) if entry else row.feature.replace("-", " ").capitalize()
    if row.feature == "material":
        material = lexicon.materials.get(row.fields.material or "")
        label = f"Pipe of {material['label']} begins" if material else "Pipe of another material begins"
    elif row.feature == "pipe-size":
        label = f"Pipe size {_number(row.fields.size_in or 0)} in"
    elif row.feature == "limitation":
        causes = {entry["kind"]: entry["label"] for entry in lexicon.entries if entry.file == "limits.toml"}
        label = f"Limit of the inspection: {causes.get(row.sense, 'part of the pipe was not seen')}"
    elif row.feature == "surface-mark" and row.sense:
        label = f"{row.sense.capitalize()} above the camera"
    details = "".join(f", {detail}" for detail in _details(row.fields))
    where = _where(row, unit)
    low = _low(label)
    if row.standing == "not-seen":
        return f"No {low} seen{where}{' in this part of the run' if row.general else ''}."
    if row.standing == "possible":
        return f"Possible {low}{where}{details}; not certain from the picture."
    if row.standing == "reported":
        return f"{label} reported by others, not an observation of the camera{where}{details}."
    return f"{label}{where}{details}."

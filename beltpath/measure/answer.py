"""The machine-readable answer of a measurement: plain values, ready for JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from beltpath.measure.measurement import Centre, Measurement, RimResidual, TapeResidual


def measurement_answer(measurement: Measurement) -> dict[str, Any]:
    """Everything `measure --json` says: plain values, lengths in mm, pixels where said so.

    `pulleys` { NAME: { at, sigma_mm, sigma_xy_mm, correlation } }, `points` alike, `rms_mm`,
    `rms_px`, `residuals`, `suspects`, `cautions`, `next` (the reading that would help most),
    `photo` and `usable` (whether a layout can be written).
    """
    pulleys = measurement.survey.layout.pulleys
    centres = measurement.centres
    after = measurement.next_reading
    return {
        "title": measurement.survey.layout.title,
        "usable": measurement.usable,
        "pulleys": {name: _centre(one) for name, one in centres.items() if name in pulleys},
        "points": {name: _centre(one) for name, one in centres.items() if name not in pulleys},
        "rms_mm": measurement.rms_mm,
        "rms_px": measurement.rms_px,
        "residuals": [*map(_tape, measurement.tapes), *map(_rim, measurement.rims)],
        "suspects": [
            {
                "kind": suspect.kind,
                "pulleys": list(suspect.pulleys),
                "set_aside": suspect.located,
                "message": suspect.message,
            }
            for suspect in measurement.suspects
        ],
        "cautions": list(measurement.cautions),
        "next": None
        if after is None
        else {"from": after.start, "to": after.end, "worst_sigma_mm": after.worst_after},
        "photo": _photo(measurement),
    }


def _centre(centre: Centre) -> dict[str, Any]:
    return {
        "at": list(centre.at),
        "sigma_mm": centre.sigma,
        "sigma_xy_mm": [centre.sigma_x, centre.sigma_y],
        "correlation": centre.correlation,
    }


def _tape(tape: TapeResidual) -> dict[str, Any]:
    return {
        "kind": "tape",
        "from": tape.start,
        "to": tape.end,
        "over": tape.over,
        "measured_mm": tape.measured,
        "computed_mm": tape.computed,
        "residual_mm": tape.computed - tape.measured,
        "in_sigmas": tape.tests,
        "used": tape.kept,
    }


def _rim(rim: RimResidual) -> dict[str, Any]:
    return {
        "kind": "rim",
        "pulley": rim.pulley,
        "residuals_px": list(rim.misses),
        "used": list(rim.kept),
        "diameter_mm": rim.diameter,
        "stated_mm": rim.stated,
    }


def _photo(measurement: Measurement) -> Mapping[str, Any] | None:
    photo, found = measurement.survey.photo, measurement.image_to_front
    if photo is None or found is None:
        return None
    return {
        "file": photo.file,
        "image_to_front": found.tolist(),
        "depth_effect_mm": dict(measurement.depth_effect),
    }

"""The page docs/validation.md: plain words, tables, and which aims are met."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from validation_aims import aim_rows
from validation_builds import Look
from validation_cells import Cell, HealthyCalls
from validation_checks import Calibration, Confusion, Coverage
from validation_lines import SkinRow, TradeOff, TwoDrives
from validation_tables import detection, drags, named_right, percent, table
from validation_words import (
    AIMS_HEAD,
    CALIBRATION_WORDS,
    CALLS_WORDS,
    CONFUSION_WORDS,
    COVERAGE_WORDS,
    DETECTION_WORDS,
    DRIVES_WORDS,
    HEALTHY_WORDS,
    OPENING,
    POLICY_WORDS,
    SKIN_WORDS,
    TRADE_WORDS,
    WEAK_WORDS,
)

from thermlog.words.policy import BUNDLED, policy_sources

_REPORTED = (
    "none", "corner_hot", "corner_cold", "axle_hot", "axle_cold", "diagonal_hot", "circuit_hot", "all_hot",
    "hub_hot", "several", "cannot_tell",
)  # fmt: skip


class Results(Struct, frozen=True, kw_only=True):
    """All that was worked out."""

    cells: list[Cell]
    healthy: list[HealthyCalls]
    confusions: list[Confusion]
    coverages: list[Coverage]
    calibrations: list[Calibration]
    trades: list[TradeOff]
    drives: list[TwoDrives]
    skins: list[SkinRow]
    looks: list[Look]


def page(results: Results) -> str:
    """The whole page."""
    parts = [
        OPENING,
        AIMS_HEAD,
        table(("aim", "found", "met"), aim_rows(results)),
        WEAK_WORDS,
        DETECTION_WORDS,
        detection(results.cells),
        CALLS_WORDS,
        called(results.cells),
        whole(results.cells),
        HEALTHY_WORDS,
        healthy(results.healthy),
        CONFUSION_WORDS,
        *(f"{weight}\n\n{confused(results.confusions, weight)}" for weight in ("light", "heavy")),
        COVERAGE_WORDS,
        covered(results.coverages),
        CALIBRATION_WORDS,
        calibrated(results.calibrations),
        TRADE_WORDS,
        traded(results.trades),
        DRIVES_WORDS,
        driven(results.drives),
        SKIN_WORDS,
        skinned(results.skins),
        POLICY_WORDS,
        looked(results.looks),
        "The numbers:",
        policy_numbers(),
    ]
    return "\n\n".join(parts) + "\n"


def called(cells: Sequence[Cell]) -> str:
    """What thermlog itself calls, by class and rounds."""
    head = [
        "class", "rounds", "healthy called", "healthy watch or more", "healthy cannot tell",
        "drags called, weakest to strongest", "named right", "cold at its own corner, by part lost",
        "healthy mate called hot", "cold: cannot tell",
    ]  # fmt: skip
    return table(head, (_called_row(cell) for cell in cells))


def _called_row(cell: Cell) -> list[object]:
    cold = [row for row in cell.rows if row.kind == "corner_cold"]
    return [
        cell.name,
        cell.rounds,
        percent(cell.healthy.called, 1),
        percent(cell.healthy.watch, 1),
        percent(cell.healthy.cannot_tell),
        " ".join(percent(row.calls.called) for row in drags(cell)),
        percent(named_right(drags(cell))),
        " ".join(percent(row.calls.own_corner) for row in cold),
        percent(float(np.mean([row.calls.healthy_hot for row in cold])), 1),
        percent(float(np.mean([row.calls.cannot_tell for row in cold]))),
    ]


def whole(cells: Sequence[Cell]) -> str:
    """Axle, diagonal and everything hot, three rounds."""
    some = [cell for cell in cells if cell.rounds == 3]
    return table(
        ["class", "planted", "mean N·m a corner", "called", "watch or more", "kind right of called"],
        (
            [
                cell.name,
                row.kind,
                f"{row.severity:g}",
                percent(row.calls.called),
                percent(row.calls.watch),
                percent(row.calls.kind_right),
            ]
            for cell in some
            for row in cell.rows
            if row.kind in {"axle_hot", "diagonal_hot", "all_hot"}
        ),
    )


def healthy(rows: Sequence[HealthyCalls]) -> str:
    """False alarms by class and skins."""
    skins = list(dict.fromkeys(row.skins for row in rows))
    names = list(dict.fromkeys(row.name for row in rows))
    by = {(row.name, row.skins): row for row in rows}
    head = ["class", "corners"]
    for skin in skins:
        head += [f"{skin}: scatter of a side", "called", "watch or more"]
    lines = []
    for name in names:
        line: list[object] = [name, corners_of(name)]
        for skin in skins:
            row = by[name, skin]
            line += [f"{row.side_spread:.3f}", percent(row.calls.called, 1), percent(row.calls.watch, 1)]
        lines.append(line)
    return table(head, lines)


def corners_of(name: str) -> int:
    """Number of corners of a class."""
    from thermlog.simulation.vehicleclass import VEHICLE_CLASSES

    return len(VEHICLE_CLASSES[name].corners)


def confused(rows: Sequence[Confusion], weight: str) -> str:
    """Planted against reported kind, in per cent of the planted, classes pooled."""
    total: dict[str, dict[str, int]] = {}
    for row in rows:
        if row.weight_class == weight:
            for planted, counts in row.counts.items():
                for reported, count in counts.items():
                    total.setdefault(planted, {}).setdefault(reported, 0)
                    total[planted][reported] += count
    lines = []
    for planted, counts in total.items():
        size = sum(counts.values())
        lines.append([planted, size, *(percent(counts.get(kind, 0) / size) for kind in _REPORTED)])
    return table(["planted", "vehicles", *_REPORTED], lines)


def covered(rows: Sequence[Coverage]) -> str:
    """Coverage of the 95 % intervals."""
    return table(
        [
            "class",
            "errors switched on",
            "axles",
            "difference",
            "difference of the metal",
            "temperature",
            "time constant",
        ],
        (
            [
                row.name,
                row.setting,
                row.count,
                *(f"{v:.3f}" for v in (row.difference, row.surface_difference, row.temperature, row.tau)),
            ]
            for row in rows
        ),
    )


def calibrated(rows: Sequence[Calibration]) -> str:
    """Expected calibration errors."""
    skins = list(dict.fromkeys(row.skins for row in rows))
    by = {(row.name, row.skins): row for row in rows}
    head = ["class", "truly faulty"]
    for skin in skins:
        head += [f"{skin}: said", "error of p_fault", "error of p_hot"]
    lines = []
    for name in dict.fromkeys(row.name for row in rows):
        line: list[object] = [name, f"{by[name, skins[0]].true_share:.3f}"]
        for skin in skins:
            row = by[name, skin]
            line += [
                f"{row.said_share:.3f}",
                f"{row.fault.calibration_error:.3f}",
                f"{row.hot.calibration_error:.3f}",
            ]
        lines.append(line)
    return table(head, lines)


def traded(rows: Sequence[TradeOff]) -> str:
    """Both thresholds against false alarms and detection."""
    parts = []
    for key, words in (("watch", "Watch line: watch or more"), ("flag", "Flag line: called")):
        values = [line.value for line in getattr(rows[0], key)]
        parts += [
            f"{words}, out of 100 healthy / dragging weakly / dragging twice that",
            table(
                ["class", *(f"{value:g}" for value in values)],
                (
                    [
                        row.name,
                        *(
                            f"{percent(line.healthy, 1)} / {percent(line.weak)} / {percent(line.middling)}"
                            for line in getattr(row, key)
                        ),
                    ]
                    for row in rows
                ),
            ),
        ]
    return "\n\n".join(parts)


def driven(rows: Sequence[TwoDrives]) -> str:
    """Hot or cold before and after the coast drive."""
    return table(
        [
            "class",
            "planted",
            "axles read",
            "called",
            "corner named, normal alone",
            "right",
            "named, with coast",
            "right",
        ],
        (
            [
                row.name,
                row.kind,
                row.axles_read,
                row.called,
                percent(row.decided[0]),
                percent(row.right[0]),
                percent(row.decided[1]),
                percent(row.right[1]),
            ]
            for row in rows
        ),
    )


def skinned(rows: Sequence[SkinRow]) -> str:
    """Equal heat under unequal skins."""
    return table(
        [
            "class",
            "emissivity left / right",
            "false gap, K",
            "axle called",
            "brighter side called cold",
            "watch or more",
            "emissivities given: gap, K",
            "called",
            "watch or more",
        ],
        (
            [
                row.name,
                f"{row.left:g} / {row.right:g}",
                f"{row.gap_k:+.1f}",
                percent(row.called, 1),
                percent(row.bright_cold, 1),
                percent(row.watch, 1),
                f"{row.given_gap_k:+.1f}",
                percent(row.given_called, 1),
                percent(row.given_watch, 1),
            ]
            for row in rows
        ),
    )


def looked(rows: Sequence[Look]) -> str:
    """Heat, spreads and strength of drags by class, and pooled by weight."""
    lines = [
        [
            row.name,
            f"{row.heat_k:.0f}",
            f"{row.heat_spread:.2f}",
            f"{row.side_spread:.3f}",
            f"{row.axle_spread:.3f}",
            f"{row.front_share:.2f}",
            f"{np.exp(np.median(row.extra_ln)):.0f}",
            f"{row.extra_ln.std():.2f}",
        ]
        for row in rows
    ]
    for weight in BUNDLED:
        some = [row for row in rows if row.weight_class == weight]
        heat, extra = (
            np.concatenate([getattr(row, part) for row in some]) for part in ("heat_ln", "extra_ln")
        )
        lines.append(
            [
                f"**all {weight}**",
                f"{np.exp(np.median(heat)):.0f}",
                f"{heat.std():.2f}",
                "",
                "",
                "",
                f"{np.exp(np.median(extra)):.0f}",
                f"{extra.std():.2f}",
            ]
        )
    head = [
        "class", "healthy rise, K", "scatter, ln", "of a side, ln", "of an axle, ln", "first over others",
        "drag adds, K", "scatter, ln",
    ]  # fmt: skip
    return table(head, lines)


def policy_numbers() -> str:
    """Numbers of the bundled policies that lean on this page."""
    tables = [policy_sources(name) for name in BUNDLED]
    leaning = [key for key in tables[0] if any("docs/validation.md" in one[key][2] for one in tables)]
    return table(
        ["number", "unit", *BUNDLED, "source stated in the policy (light)"],
        (
            [f"`{key}`", tables[0][key][1], *(f"{one[key][0]:g}" for one in tables), tables[0][key][2]]
            for key in leaning
        ),
    )

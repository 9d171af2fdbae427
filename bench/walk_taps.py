"""Taps and seconds of a walk with scripted fingers: two axles and five, on the page and at the keyboard.

    python bench/walk_taps.py

Fingers press one key every 0.35 s on the page and every 0.2 s at the keyboard (assumed, not measured on
people) and follow what is proposed. Walking and aiming take no time here: what is shown is what entering
alone costs, begin to answer, two rounds. It needs Chromium.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

import browser as browsers  # noqa: E402
from phones import Phone  # noqa: E402
from shopserver import shop  # noqa: E402

from thermlog.simulation.logtext import LogStyle  # noqa: E402
from thermlog.simulation.onelog import Wanted, simulated_log  # noqa: E402
from thermlog.taking.wheelorder import round_order  # noqa: E402

TAP_S, KEY_S = 0.35, 0.2
VEHICLES = {2: ("van_disc", "1L"), 5: ("combination5_drum", "3R")}


def values(axles: int) -> list[tuple[str, str]]:
    """What a gun shows at each wheel, two rounds in the order that is proposed."""
    name, corner = VEHICLES[axles]
    wanted = Wanted(vehicle_class=name, fault="corner_hot", corner=corner, rounds=2, seed=4)
    log = simulated_log(wanted, style=LogStyle()).log
    rows = [row.split(",") for row in log.splitlines() if row[0].isdigit()]
    shown: dict[str, list[str]] = {}
    for _, wheel, value in rows:
        shown.setdefault(wheel, []).append(str(round(float(value))))
    return [(wheel, shown[wheel][lap]) for lap in (0, 1) for wheel in round_order(axles, lap)]


class Fingers:
    """They count what they press."""

    def __init__(self, page) -> None:  # type: ignore[no-untyped-def]  # Playwright's page
        self.page, self.taps, self.start = page, 0, 0.0

    def tap(self, where: str) -> None:
        time.sleep(TAP_S)
        self.page.tap(where)
        self.taps += 1


def on_the_page(axles: int, chromium) -> tuple[int, float, int]:  # type: ignore[no-untyped-def]
    walk = values(axles)
    with tempfile.TemporaryDirectory() as name, shop(Path(name)) as one:
        room = chromium.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
        page = room.new_page()
        page.goto(one.address)
        hand, fingers = Phone(page, one), Fingers(page)
        hand.begin(axles=axles)
        start = time.monotonic()
        fingers.tap("#parked")
        for where in (".tile[data-w=air]", "[data-key='1']", "[data-key='8']", "[data-key=take]"):
            fingers.tap(where)
        for _, shown in walk:
            for key in shown:
                fingers.tap(f"[data-key='{key}']")
            fingers.tap("[data-key=take]")
            one.clock.s += TAP_S * (len(shown) + 1)
            hand.until(lambda: hand.line().startswith("✓") and "way" not in hand.line())
            if page.locator("#ask").is_visible():
                fingers.tap("[data-answer=keep]")
        spent = time.monotonic() - start
        room.close()
    return fingers.taps, spent, len(walk)


def at_the_keyboard(axles: int) -> tuple[int, float, int]:
    from walkcases import HandClock, desk_at, head

    walk = values(axles)
    with tempfile.TemporaryDirectory() as name:
        clock = HandClock()
        desk = desk_at(str(Path(name) / "walk.csv"), clock, head(str(axles)))
        keys, start = 0, time.monotonic()
        for line in ["parked", "air 18", *(shown for _, shown in walk)]:
            time.sleep(KEY_S * (len(line) + 1))
            keys += len(line) + 1
            clock.s += 1.0 + KEY_S * (len(line) + 1)
            desk.take(line, clock.s)
            if desk.doubt is not None:
                time.sleep(2 * KEY_S)
                keys += 2
                desk.take("k", clock.s)
        return keys, time.monotonic() - start, len(walk)


def main() -> None:
    made = browsers.browser.__wrapped__()
    chromium = next(made)
    for axles in VEHICLES:
        for where, (presses, seconds, count) in (
            ("page", on_the_page(axles, chromium)), ("keyboard", at_the_keyboard(axles)),
        ):  # fmt: skip
            print(
                f"{axles} axles, {where:8}: {count} readings, {presses} presses ({presses / count:.1f} each),"
                f" {seconds:.0f} s ({seconds / count:.1f} s each)"
            )
    next(made, None)


if __name__ == "__main__":
    main()

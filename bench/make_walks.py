"""Write the walk-throughs of docs/narrow.md anew: python bench/make_walks.py.

Each is a log, a story, and what the mechanic finds; a check of which the story says nothing is answered as
its cause mostly would. The keys follow from what thermlog asks. A test presses them on a terminal.
"""

from __future__ import annotations

import shlex
import tempfile
from pathlib import Path
from textwrap import fill

from msgspec import Struct

import thermlog
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.twice import first_time
from thermlog.cli import run

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "narrow.md"
HEAD, TAIL = "<!-- walks: made by bench/make_walks.py -->", "<!-- end of walks -->"
TABLE = evidence_table()


class Walk(Struct, frozen=True, kw_only=True):
    """One walk-through; `made` are the options of ``thermlog simulate`` where no sample log fits."""

    title: str
    cause: str
    log: str
    story: str
    made: str = ""
    vehicle: str = ""
    finds: dict[str, str] = {}


_WARM = "--class car_disc --fault corner_hot --corner 1L --drag-nm 30 --seed 1"  # 188 °C: it may be touched
WALKS = (
    Walk(
        title="Slide pin", cause="slide_pin_seized", log="van_front_left_hot.csv", vehicle="van.toml",
        story="The van's front left brake reads more than 200 °C, so nobody goes near it yet. While it "
        "is hot the gun tells that the inner face is the hotter one; then it cools. The wheel comes off, "
        "and a pin needs pliers.",
    ),
    Walk(
        title="Sticking piston", cause="piston_stuck_on", log="car.csv", made=_WARM,
        story="Pins and pads move. Opening the bleeder does not free the wheel, so no pressure is held; the "
        "piston stays out when the pedal is let go.",
    ),
    Walk(
        title="Collapsed hose", cause="hose_holds_pressure", log="car.csv", made=_WARM,
        story="Opening the bleeder frees the wheel: pressure is held. Opened at the lower end of the hose "
        "it frees, at its upper end it does not. So it is the hose, and no other rung is opened.",
    ),
    Walk(
        title="Parking brake", cause="park_lever", log="hatchback_rear_right_hot.csv",
        story="One rear brake is hot and its lever on the caliper is not at its stop, not even with the "
        "cable unhooked: the mechanism in the caliper, not the cable.",
    ),
    Walk(
        title="No pedal free play", cause="pushrod_no_play", log="car.csv",
        made="--class car_disc --fault all_hot --drag-nm 60 --seed 4",
        story="All four brakes are hot, so nobody works at a wheel before they have cooled. Then the "
        "pedal tells: it comes back at once but has no free play, after work on the master cylinder.",
    ),
    Walk(
        title="Long stroke", cause="slack_long", log="lorry.csv",
        made="--class rigid2_drum --fault corner_cold --corner 2L --seed 5",
        story="One S-cam brake stays cold. A helper presses the treadle, the stroke of the rod is measured: "
        "over the limit. That confirms it, and what else could be asked tells too little for its minutes.",
    ),
    Walk(
        title="Bearing", cause="wheel_bearing", log="trailer_hub_hot.csv",
        story="A hub is hot by itself. It cools first. Then, before anything else, the wheel is raised and "
        "turned: it is rough. The vehicle is not driven.",
    ),
    Walk(
        title="Trailer brake", cause="reverse_stuck", log="trailer.csv",
        made="--class trailer2_drum --fault corner_hot --corner 1L --seed 1",
        story="A light trailer with an overrun coupling drags at one wheel, and there is no pedal to ask "
        "about. The parking brake is home, the wheel does not roll backwards as it should.",
        finds={"brake_kind": "overrun_drum"},
    ),
    Walk(
        title="A slip that is found", cause="pads_bound", log="car.csv", made=_WARM,
        story="The pads hang in the bracket, but the first time they seemed to slide. Nothing else fits what "
        "is seen, so the check is asked once more before a cause is named: they are tight. The two answers "
        "stand side by side, and what the pads' wear and the pins have told decides.",
        finds={"pads_slide": "slide"},
    ),
)  # fmt: skip


def answers(walk: Walk, log: str) -> tuple[dict[str, str], str]:
    """What is found, check by check, and the keys for it."""
    found: dict[str, str] = {}
    keys = ""
    vehicle = str(ROOT / "sample_logs" / walk.vehicle) if walk.vehicle else None
    while True:
        check = thermlog.narrow(log, found, vehicle_file=vehicle)["next_check"]
        if not check or not check["answers"]:
            return found, keys
        choices = [one["id"] for one in check["answers"]]
        told = walk.finds.get(check["id"]) or mostly(check["id"], walk.cause) or choices[0]
        found[check["id"]] = told
        keys += str(choices.index(told) + 1)


def mostly(check: str, cause: str) -> str | None:
    asked = TABLE.observations.get(first_time(check))
    return max(asked.answers, key=lambda one: asked.likelihood(one, cause)) if asked else None


def path_of(walk: Walk, folder: str) -> str:
    """The log on disk, made if it has to be."""
    if not walk.made:
        return str(ROOT / "sample_logs" / walk.log)
    place = str(Path(folder) / walk.log)
    run(["simulate", *shlex.split(walk.made), "--force", "--output", place])
    return place


def section(walk: Walk, folder: str) -> str:
    """One walk-through as the page has it."""
    log = path_of(walk, folder)
    found, keys = answers(walk, log)
    with_vehicle = ["--vehicle", str(ROOT / "sample_logs" / walk.vehicle)] if walk.vehicle else []
    place = str(Path(folder) / "end.txt")
    pairs = [part for check, answer in found.items() for part in ("--found", f"{check}={answer}")]
    run(["narrow", log, *with_vehicle, *pairs, "--exit-zero", "--force", "--output", place])
    made = [f"$ thermlog simulate {walk.made} -o {walk.log}"] if walk.made else []
    named = walk.log if walk.made else f"sample_logs/{walk.log}"
    asked = f"$ thermlog narrow {named}" + (f" --vehicle sample_logs/{walk.vehicle}" if walk.vehicle else "")
    end = ends(Path(place).read_text(encoding="utf-8"))
    lines = ["```text", *made, asked, f"keys: {' '.join(keys)}", *end, "```"]
    return "\n".join([f"### {walk.title}", "", fill(walk.story, 140), "", *lines])


def ends(text: str) -> list[str]:
    """The lines of an end that a page shows: the finding, the first cause, the answers, the result."""
    starts = ("FINDING ", "  1  ", "ANSWERED", "DIFFERS ", "RESULT ")
    return [line.rstrip() for line in text.replace("\r", "").splitlines() if line.startswith(starts)]


def renewed(page: str) -> str:
    """The page with the walk-throughs as thermlog leads them now."""
    before, rest = page.split(HEAD)
    with tempfile.TemporaryDirectory() as folder:
        sections = "\n\n".join(section(walk, folder) for walk in WALKS)
    return f"{before}{HEAD}\n\n{sections}\n\n{TAIL}{rest.split(TAIL)[1]}"


if __name__ == "__main__":
    PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    print(f"{PAGE.name} written")

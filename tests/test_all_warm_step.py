"""Where all brakes are warm alike, what is done next is done at all of them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from logs import AIR_DEGC, HEALTHY_K, log_text


@pytest.mark.parametrize("part", [2.6, 2.9, 3.2])
def test_a_vehicle_that_is_warm_as_a_whole_is_looked_at_as_a_whole(thermlog, part: float) -> None:
    """No single wheel of several as hot is named, least of all one that is not the hottest."""
    assert AIR_DEGC < 30.0
    Path("log.csv").write_text(log_text({corner: part * k for corner, k in HEALTHY_K.items()}))
    found = json.loads(thermlog("check", "log.csv", "--format", "json").out)
    assert found["answers"]["heat"]["answer"] in {"watch", "yes"}
    if found["answers"]["drag"]["answer"] == "cannot_tell":
        assert found["answers"]["drag"]["corners"] == found["answers"]["heat"]["corners"]
    assert not [corner for corner in HEALTHY_K if corner in found["next_check"]["question"]]

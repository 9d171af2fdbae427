"""Print the lower bound of every dependency of the project as a constraint: `numpy==2.0.0`."""

import tomllib
from pathlib import Path

project = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
for wanted in project["dependencies"]:
    print(wanted.replace(">=", "=="))

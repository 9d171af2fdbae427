"""Print the lower bound of every dependency of the project as a constraint: `numpy==2.0.0`.

Of extras those that are tried so: what reaches other machines, and tables.
"""

import re
import tomllib
from pathlib import Path

project = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
extras = project["optional-dependencies"]
for wanted in (*project["dependencies"], *extras["cluster"], *extras["remote"], *extras["parquet"]):
    print(re.sub(r"\[.*\]", "", wanted).replace(">=", "=="))

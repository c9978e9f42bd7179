"""Public callables given what they cannot mean: a typed error within seconds, and no result."""

import subprocess
import sys
from pathlib import Path

FUZZ = Path(__file__).parents[1] / "support" / "fuzz.py"
# Rooms in which nothing escapes; `python tests/support/fuzz.py` tries them all, for minutes.
ANSWERING = [
    "sky.Place", "sky.sunrise", "sky.sunset", "sky.crossings", "sky.local_day", "sky.seen_from",
    "files.content", "files.toml", "stage.Move", "stage.Segment", "scenes.named",
    "physics.air", "physics.atmosphere", "physics.extinction", "physics.eye", "physics.soundings",
    "physics.sunlight", "physics.water", "physics.sensors", "physics.scattering.sky_radiance",
    "phenomena.dispersion", "phenomena.evening", "phenomena.instruments",
    "physics.ducts", "physics.rays.transfer_curve", "physics.scattering.sky_xyz_grid", "sky.bodies",
    "phenomena.earth_shadow.mountain_shadow", "phenomena.mirage", "phenomena.sky_beside",
    "fieldwork.camera", "fieldwork.exposures.setting", "fieldwork.wide",
]  # fmt: skip


def test_no_bad_value_escapes_or_passes():
    run = subprocess.run(
        [sys.executable, str(FUZZ), "--brief", *ANSWERING],
        capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert run.returncode == 0, run.stdout[-3000:] + run.stderr[-3000:]
    assert int(run.stdout.split()[0]) > 10_000, run.stdout

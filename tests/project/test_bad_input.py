"""Public callables, scenes and stages given what means nothing: a typed error, and no result."""

import subprocess
import sys
from pathlib import Path

SUPPORT = Path(__file__).parents[1] / "support"
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
    "words.", "fieldwork.plan.Kit", "fieldwork.plan.air_at", "fieldwork.plan.evenings",
    "fieldwork.skyline.", "fieldwork.frames.", "proof.", "scenes.questions",
    "phenomena.calm_sea", "phenomena.low_sky", "phenomena.seen_light", "phenomena.seascape",
    "phenomena.sea.",
]  # fmt: skip


def fuzzed(script, *options):
    """What a fuzz prints when nothing escapes or passes."""
    run = subprocess.run(
        [sys.executable, str(SUPPORT / script), *options],
        capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert run.returncode == 0, run.stdout[-3000:] + run.stderr[-3000:]
    return run.stdout


def test_no_bad_value_escapes_or_passes():
    said = fuzzed("fuzz.py", "--brief", *ANSWERING)
    assert int(said.split()[0]) > 20_000, said


def test_scenes_and_stages_refuse_what_means_nothing_there():
    scenes, stage = fuzzed("fuzz_stage.py", "scene", "stage").splitlines()
    assert int(scenes.removeprefix("scene: ").split()[0]) > 5_000
    assert int(stage.removeprefix("stage: ").split()[0]) > 500

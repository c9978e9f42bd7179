"""From the levels of a file to air and a report; the rules are in the package's docstring."""

from dataclasses import replace

from lowsun.physics.soundings.checking import (
    above_sea,
    require_balance,
    require_low_start,
    require_order,
    usable,
    whole_humidity,
    with_heights,
    without_repeats,
)
from lowsun.physics.soundings.extension import anchor, extended
from lowsun.physics.soundings.findings import Report, find_ducts, find_inversions
from lowsun.physics.soundings.spacing import settled, spaced


def clean(levels, name):
    """An Atmosphere and the Report of what was done, from the Levels of one ascent."""
    profile = usable(levels, name)
    missing = levels.line.size - profile.line.size
    profile, heights_computed = with_heights(profile, name)
    profile, repeated = without_repeats(profile, name)
    require_low_start(profile, name)
    require_order(profile, name)
    require_balance(profile, name)
    profile, below_sea = above_sea(profile, name)
    profile = replace(profile, relative_humidity=whole_humidity(profile))
    inversions = find_inversions(profile.height_m, profile.temperature_k)
    apart = spaced(profile, inversions, name)
    calm, superadiabatic = settled(apart)
    atmosphere = extended(calm, anchor(profile, name), name)
    report = Report(
        levels_read=levels.line.size,
        missing=missing,
        repeated=repeated,
        merged=profile.line.size - apart.line.size,
        superadiabatic=superadiabatic,
        extended=atmosphere.height_m.size - calm.line.size,
        heights_computed=heights_computed,
        humidity_set_aside=levels.humidity_set_aside,
        inversions=inversions,
        ducts=find_ducts(atmosphere, calm.height_m[0], calm.height_m[-1]),
        notes=levels.notes + below_sea,
    )
    return atmosphere, report

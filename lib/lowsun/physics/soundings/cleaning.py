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
    without_humidity,
    without_repeats,
)
from lowsun.physics.soundings.extension import anchor, extended
from lowsun.physics.soundings.findings import Report, find_ducts, find_inversions
from lowsun.physics.soundings.spacing import settled, spaced


def clean(levels, lapse_below_k_per_m):
    """An Atmosphere and the Report of what was done, from the Levels of one ascent.

    lapse_below_k_per_m [K/m].
    """
    profile = usable(levels)
    missing = levels.line.size - profile.line.size
    profile, heights_computed, said = with_heights(profile, levels.station_m)
    profile, repeated = without_repeats(profile)
    require_low_start(profile)
    require_order(profile)
    require_balance(profile)
    profile, below_sea = above_sea(profile)
    said += below_sea + without_humidity(profile)
    profile = replace(profile, relative_humidity=whole_humidity(profile))
    inversions = find_inversions(profile.height_m, profile.temperature_k)
    apart = spaced(profile, inversions)
    calm, superadiabatic = settled(apart)
    atmosphere = extended(calm, anchor(profile), lapse_below_k_per_m)
    report = Report(
        ground_m=float(calm.height_m[0]),
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
        notes=levels.notes + said,
    )
    return atmosphere, report

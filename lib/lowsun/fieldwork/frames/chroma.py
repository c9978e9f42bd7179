"""What halved colour does to a limb: JPEG 4:2:0 keeps brightness in full and colour in half.

The halving acts on encoded colour, so that in linear light it moves green's limb against red's by
up to half a pixel. The limb that was measured is sent through the same coding and measured again;
what that moves is taken off: theta <- theta + (measured - coded and measured(theta)).
"""

from dataclasses import replace

import numpy as np

from lowsun.fieldwork.frames import limb
from lowsun.physics.colour import decode_srgb, encode_srgb

TURNS = 3
SETTLED_PX = 0.005  # of a turn, after which no other is needed
ROUNDS = 5  # of each fit, which begins where the one before it ended
SOFT_PX = 3.0  # blur beyond which the halving of rows moves nothing
PHASES = 16  # of the limb against the halved rows
# Y, Cb, Cr from encoded red, green, blue: ITU-R BT.601, as JFIF 1.02 has it.
TO_YCC = np.array([[0.299, 0.587, 0.114], [-0.168736, -0.331264, 0.5],
                   [0.5, -0.418688, -0.081312]])  # fmt: skip
FROM_YCC = np.linalg.inv(TO_YCC)


def moved_px(every, band, chosen):
    """How far the halving moved green's limb outwards against red's in an arc [px].

    every: `Edges` of the three channels; chosen (SECTORS,) bool.
    """
    measured = [_middle(edges, chosen) for edges in every]
    if not np.all(np.isfinite(measured)) or every[1].blur_px > SOFT_PX:
        return 0.0
    measured = np.array(measured)
    measured[:, 0] -= measured[0, 0]
    depth = float(np.median(band.depth_px[chosen]))
    truth = measured.copy()
    truth[:, 1] = np.median(measured[:2, 1])  # the lens blurs the channels about alike
    seen = truth
    for _ in range(TURNS):
        seen = _coded(truth, seen, band, depth)
        step = measured[:, 0] - (seen[:, 0] - seen[0, 0])
        truth[:, 0] += step
        truth[:, 0] = np.clip(truth[:, 0], -6, 6)
        truth[:, 1] = np.clip(truth[:, 1] * measured[1, 1] / seen[1, 1], limb.LEAST_BLUR_PX, 8)
        if np.abs(step).max() < SETTLED_PX:
            break
    return float((measured[1, 0] - measured[0, 0]) - (truth[1, 0] - truth[0, 0]))


def _middle(edges, chosen):
    """Place, blur, edge, darkening and sky of the limb's middle course in an arc."""
    seen = chosen & np.isfinite(edges.place_px)
    if not seen.any():
        return [np.nan] * 5
    values = (edges.place_px, edges.edge, edges.dark, edges.sky)
    place, edge, dark, sky = (float(np.median(each[seen])) for each in values)
    return [place, edges.blur_px, edge, dark, sky]


def _coded(truth, near, band, depth_px):
    """Place and blur (3, 2) of a limb after coding, as the limb's own fit finds them.

    near (3, 2 or more): places and blurs to begin with.
    """
    reach = band.reach_px
    row = np.arange(-int(reach) - 6, int(reach) + 6)
    distance = row + 2 * (np.arange(PHASES)[:, None] + 0.5) / PHASES - 1
    light = np.stack([_profile(values, distance, depth_px) for values in truth])
    coded = _decoded(light)
    inside = np.abs(distance) < reach - 1e-6
    found = []
    one = replace(
        band,
        distance_px=distance[inside],
        sector=np.zeros(inside.sum(), dtype=int),
        light=coded[:, inside],
        depth_px=np.full(limb.SECTORS, depth_px),
    )
    mean, count = one.binned()
    for channel in range(3):
        edges = limb.edges(
            mean[channel, :1],
            count[channel, :1],
            one,
            place_px=near[channel, :1],
            blur_px=near[channel, 1],
            rounds=ROUNDS,
        )
        found.append((edges.place_px[0], edges.blur_px))
    return np.array(found)


def _profile(values, distance, depth_px):
    place, blur, edge, dark, sky = values
    basis, _, _ = limb.model(distance, np.array([place]), blur, np.array([depth_px]))
    return np.array([edge, dark, sky]) @ basis[:, :3]


def _decoded(light):
    """Linear light (3, phases, rows) whose colour was halved along the rows and brought back."""
    encoded = encode_srgb(np.clip(light, 0, 1))
    ycc = np.einsum("ij,jpr->ipr", TO_YCC, encoded)
    halved = ycc[1:].reshape(2, PHASES, -1, 2).mean(axis=-1)
    before = np.concatenate([halved[..., :1], halved[..., :-1]], axis=-1)
    after = np.concatenate([halved[..., 1:], halved[..., -1:]], axis=-1)
    ycc[1:, :, 0::2] = 0.75 * halved + 0.25 * before  # the triangle filter of libjpeg
    ycc[1:, :, 1::2] = 0.75 * halved + 0.25 * after
    return decode_srgb(np.clip(np.einsum("ij,jpr->ipr", FROM_YCC, ycc), 0, 1))

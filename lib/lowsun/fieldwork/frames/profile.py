"""From a colour profile to linear sRGB: the curve of the codes, and a matrix for wide gamuts."""

import io
import struct

import numpy as np
from PIL import ImageCms

SAME = 0.002  # of full light: profiles that say sRGB differ by their rounding only


def srgb_curve(codes):
    """Linear light of sRGB codes 0 to `codes` - 1, float32 (codes,). Source: IEC 61966-2-1."""
    share = np.linspace(0, 1, codes)
    bent = ((share + 0.055) / 1.055) ** 2.4
    return np.where(share <= 0.04045, share / 12.92, bent).astype(np.float32)


def linearising(icc, codes):
    """Curve (codes,) and matrix (3, 3) or None from an ICC profile's bytes; None: not understood.

    Profiles of matrix and curve only (ICC.1:2022, 8.3.3); without a profile, sRGB.
    """
    if not icc:
        return srgb_curve(codes), None
    try:
        curve = _tone_curve(icc, np.linspace(0, 1, codes))
        matrix = _to_srgb(icc)
    except (ImageCms.PyCMSError, OSError, KeyError, TypeError, ValueError, struct.error):
        return None
    if np.abs(curve - srgb_curve(codes)).max() < SAME:
        curve = srgb_curve(codes)
    return curve.astype(np.float32), None if np.abs(matrix - np.eye(3)).max() < 0.01 else matrix


def _to_srgb(icc):
    """Both profiles give their primaries under D50, so that no adaptation is left to do."""
    srgb = ImageCms.createProfile("sRGB")
    return np.linalg.solve(
        _primaries(srgb), _primaries(ImageCms.ImageCmsProfile(io.BytesIO(icc)).profile)
    )


def _primaries(profile):
    colorants = (profile.red_colorant, profile.green_colorant, profile.blue_colorant)
    return np.array([colorant[0] for colorant in colorants], dtype=float).T


def _tone_curve(icc, share):
    """The green curve: in matrix profiles of pictures the three are the same."""
    body = _tags(icc)[b"gTRC"]
    kind = body[:4]
    if kind == b"curv":
        return _sampled(body, share)
    if kind == b"para":
        return _parametric(body, share)
    raise ValueError(kind)


def _tags(icc):
    (count,) = struct.unpack_from(">I", icc, 128)
    entries = [struct.unpack_from(">4sII", icc, 132 + 12 * k) for k in range(min(count, 100))]
    return {name: icc[start : start + size] for name, start, size in entries}


def _sampled(body, share):
    (count,) = struct.unpack_from(">I", body, 8)
    values = np.array(struct.unpack_from(f">{count}H", body, 12))
    if count == 0:
        return share
    if count == 1:
        return share ** (values[0] / 256)
    return np.interp(share, np.linspace(0, 1, count), values / 65535)


def _parametric(body, share):
    """Y = (a X + b)^g + e above d, c X + f below: ICC.1:2022, 10.18, types 0 to 4."""
    (kind,) = struct.unpack_from(">H", body, 8)
    given = struct.unpack_from(f">{(1, 3, 4, 5, 7)[kind]}i", body, 12)
    g, a, b, c, d, e, f = (*(value / 65536 for value in given), *(0,) * (7 - len(given)))
    if kind == 0:
        return share**g
    if kind in (1, 2):
        offset = c
        return np.where(share >= -b / a, np.maximum(a * share + b, 0) ** g + offset, offset)
    return np.where(share >= d, np.maximum(a * share + b, 0) ** g + e, c * share + f)

"""What a flash is looked at with: the naked eye, binoculars, a camera.

Each says how much light of its own a target must send to be told from the sky behind it.
"""

from dataclasses import dataclass, replace

import numpy as np

from lowsun.errors import LARGEST, require_number, require_range
from lowsun.physics import eye
from lowsun.words import term

EYE_DETAIL_ARCSEC = 60.0  # what an eye tells apart; common practice, no source
BINOCULAR_SHARE = 0.9  # coated glass lets so much light through; common practice, no source
ROSE = 5.0  # signal divided by noise by which a detail is told; Rose 1948, J. Opt. Soc. Am. 38, 196
DARKEST_CD_PER_M2, BRIGHTEST_CD_PER_M2 = 1e-3, 1e10


@dataclass(frozen=True)
class NakedEye:
    """The eye that looks without being told where, and names colours as by signal lights."""

    words = term("the naked eye")
    detail_arcsec = EYE_DETAIL_ARCSEC
    burns_out_cd_per_m2 = np.inf

    def noticed_lx(self, area_sr, background_cd_per_m2):
        """The least own light of a target that is noticed [lx]; arguments broadcast."""
        return eye.threshold_lx(area_sr, background_cd_per_m2, eye.NOTICED)

    def told_by_colour_lx(self, area_sr, background_cd_per_m2):
        """The least own light of a target whose colour is told [lx]; infinite in the dark."""
        least = eye.threshold_lx(area_sr, background_cd_per_m2, eye.TOLD_BY_COLOUR)
        return np.where(np.asarray(background_cd_per_m2) < eye.DAYLIGHT_CD_PER_M2, np.inf, least)

    def exposed_for(self, brightest_cd_per_m2):
        """The instrument set for a target: an eye needs no setting.

        brightest_cd_per_m2 [cd/m2] 0 or more. Raises OutOfRangeError outside.
        """
        require_range("brightest_cd_per_m2", brightest_cd_per_m2, 0, LARGEST, unit="cd/m2")
        return self


EYE = NakedEye()


@dataclass(frozen=True)
class Binoculars:
    """An eye behind binoculars: a target as many times larger, and no brighter.

    aperture_mm [mm] 10 to 200, magnification 2 to 60. Where the exit pupil, aperture over
    magnification, is smaller than the eye's, sky and target are dimmed alike.
    """

    aperture_mm: float = 40.0
    magnification: float = 8.0
    burns_out_cd_per_m2 = np.inf

    def __post_init__(self):
        require_range("aperture_mm", self.aperture_mm, 10, 200, unit="mm")
        require_range("magnification", self.magnification, 2, 60)

    @property
    def words(self):
        """As they are marked: binoculars 8 x 40."""
        return f"binoculars {self.magnification:g} × {self.aperture_mm:g}"

    @property
    def detail_arcsec(self):
        """What they tell apart [arcsec]."""
        return EYE_DETAIL_ARCSEC / self.magnification

    def noticed_lx(self, area_sr, background_cd_per_m2):
        """The least own light of a target that is noticed [lx], outside the binoculars."""
        return self._outside_lx(EYE.noticed_lx, area_sr, background_cd_per_m2)

    def told_by_colour_lx(self, area_sr, background_cd_per_m2):
        """The least own light of a target whose colour is told [lx], outside the binoculars."""
        return self._outside_lx(EYE.told_by_colour_lx, area_sr, background_cd_per_m2)

    def exposed_for(self, brightest_cd_per_m2):
        """The instrument set for a target: binoculars need no setting.

        brightest_cd_per_m2 [cd/m2] 0 or more. Raises OutOfRangeError outside.
        """
        require_range("brightest_cd_per_m2", brightest_cd_per_m2, 0, LARGEST, unit="cd/m2")
        return self

    def _outside_lx(self, least_lx, area_sr, background_cd_per_m2):
        """L_own = E / A is dimmed as the sky is, and A grows by the square of the magnification."""
        dimmed = self._dimming(background_cd_per_m2)
        area = require_range("area_sr", area_sr, 0.0, 1.0, unit="sr") * self.magnification**2
        return least_lx(area, background_cd_per_m2 * dimmed) / (self.magnification**2 * dimmed)

    def _dimming(self, background_cd_per_m2):
        exit_pupil_mm = self.aperture_mm / self.magnification
        filled = np.minimum(exit_pupil_mm / eye.pupil_mm(background_cd_per_m2), 1.0)
        return BINOCULAR_SHARE * filled**2


@dataclass(frozen=True)
class Camera:
    """A camera whose exposure is set: noise below, burning out above.

    arcsec_per_px [arcsec] 0.1 to 120; burns_out_cd_per_m2 [cd/m2]: the luminance that just fills a
    pixel. full_well, read_noise [electrons]. What stands out from the sky is told by Rose's rule:
    5 times the noise of the pixel, sky and reading together.
    """

    arcsec_per_px: float = 2.0
    burns_out_cd_per_m2: float = 1e6
    full_well: float = 50_000.0
    read_noise: float = 3.0

    def __post_init__(self):
        require_range("arcsec_per_px", self.arcsec_per_px, 0.1, 120, unit="arcsec")
        limits = DARKEST_CD_PER_M2, BRIGHTEST_CD_PER_M2
        require_range("burns_out_cd_per_m2", self.burns_out_cd_per_m2, *limits, unit="cd/m2")
        require_range("full_well", self.full_well, 100, 1e7)
        require_range("read_noise", self.read_noise, 0, 1000)

    @property
    def words(self):
        """A camera, by the scale of its pixels."""
        return f"a camera of {self.arcsec_per_px:g}″ a pixel"

    @property
    def detail_arcsec(self):
        """What it tells apart: two pixels [arcsec]."""
        return 2.0 * self.arcsec_per_px

    def noticed_lx(self, area_sr, background_cd_per_m2):
        """The least own light of a target that stands out from the noise [lx].

        area_sr [sr] 0 to 1, background_cd_per_m2 [cd/m2] 0 to 1e+10. Raises OutOfRangeError
        outside.
        """
        cd_per_electron = self.burns_out_cd_per_m2 / self.full_well
        area = require_range("area_sr", area_sr, 0.0, 1.0, unit="sr")
        background = require_range(
            "background_cd_per_m2", background_cd_per_m2, 0.0, 1e10, unit="cd/m2"
        )
        sky = background / cd_per_electron
        least_cd_per_m2 = ROSE * cd_per_electron * np.sqrt(sky + self.read_noise**2)
        pixel_sr = np.radians(self.arcsec_per_px / 3600.0) ** 2
        return least_cd_per_m2 * np.maximum(area, pixel_sr)

    def told_by_colour_lx(self, area_sr, background_cd_per_m2):
        """As `noticed_lx`: a sensor sees its colours, each through a third of the light.

        area_sr [sr], background_cd_per_m2 [cd/m2].
        """
        return np.sqrt(3.0) * self.noticed_lx(area_sr, background_cd_per_m2)

    def exposed_for(self, brightest_cd_per_m2):
        """The camera exposed so that a target's brightest point just fills a pixel.

        brightest_cd_per_m2 [cd/m2] 0 or more. Raises OutOfRangeError outside.
        """
        brightest = require_number(
            "brightest_cd_per_m2", brightest_cd_per_m2, 0, LARGEST, unit="cd/m2"
        )
        bounded = np.clip(brightest, DARKEST_CD_PER_M2, BRIGHTEST_CD_PER_M2)
        return replace(self, burns_out_cd_per_m2=float(bounded))

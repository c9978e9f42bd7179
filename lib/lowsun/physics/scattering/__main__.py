"""Writes the table that comes with the kit: python -m lowsun.physics.scattering."""

from importlib.resources import as_file, files

from lowsun.physics.medium import Air
from lowsun.physics.scattering.store import SHIPPED, ship

with as_file(files("lowsun.data")) as folder:
    ship(Air(), folder / SHIPPED)

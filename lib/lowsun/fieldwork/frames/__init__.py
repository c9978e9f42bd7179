"""What the camera caught: a folder of stills, raws and clips into one table."""

from lowsun.fieldwork.frames.folder import TABLE, Progress, read_folder, readings
from lowsun.fieldwork.frames.measuring import Reading, measure
from lowsun.fieldwork.frames.picture import Picture, Shot
from lowsun.fieldwork.frames.reading import read

__all__ = [
    "TABLE",
    "Picture",
    "Progress",
    "Reading",
    "Shot",
    "measure",
    "read",
    "read_folder",
    "readings",
]

"""A sound laid under a film: WAV or FLAC read, AAC written."""

from itertools import chain

import av

from lowsun.errors import InputFileError

RATE_HZ = 48_000
ENDINGS = (".wav", ".flac")


def length_s(path):
    """How long the sound of a file lasts [s], every sample counted; or an InputFileError."""
    return sum(frame.samples / frame.sample_rate for frame in _frames(path))


def add_to(container, path):
    """Add the sound to a container; returns its packets, in a list."""
    stream = container.add_stream("aac", rate=RATE_HZ)
    stream.layout = "stereo"
    resampler = av.AudioResampler(format="fltp", layout="stereo", rate=RATE_HZ)
    parts = (part for frame in chain(_frames(path), [None]) for part in resampler.resample(frame))
    return [packet for part in chain(parts, [None]) for packet in stream.encode(part)]


def _frames(path):
    if path.suffix.lower() not in ENDINGS:
        raise InputFileError(f"The sound {path} ends in {path.suffix!r}; allowed is .wav or .flac.")
    try:
        with av.open(path) as container:
            if not container.streams.audio:
                raise InputFileError(f"{path} holds no sound.")
            yield from container.decode(audio=0)
    except (av.FFmpegError, OSError) as refused:
        raise InputFileError(
            f"The sound {path} does not decode ({refused.strerror}). Save it as WAV or FLAC again."
        ) from refused

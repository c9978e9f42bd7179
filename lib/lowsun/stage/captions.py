"""Captions as WebVTT, and as the packets of a text track."""

from fractions import Fraction

from av import Packet

TIME_BASE = Fraction(1, 1000)


def webvtt(sequence):
    """The captions as a WebVTT file: W3C, WebVTT: The Web Video Text Tracks Format."""
    cues = [
        f"{_clock(begins)} --> {_clock(ends)}\n{_escaped(caption.text)}\n"
        for caption, (begins, ends) in _timed(sequence)
    ]
    return "\n".join([f"WEBVTT - {_escaped(sequence.title)}\n", *cues])


def packets(sequence, stream, *, timed_text):
    """The captions as packets of a text track: 3GPP timed text (MP4), or plain text (Matroska)."""
    made = []
    for caption, (begins, ends) in _timed(sequence):
        text = caption.text.strip().encode("utf-8")
        packet = Packet(len(text).to_bytes(2, "big") + text if timed_text else text)
        packet.stream, packet.time_base = stream, TIME_BASE
        packet.pts = packet.dts = round(begins / TIME_BASE)
        packet.duration = round((ends - begins) / TIME_BASE)
        made.append(packet)
    return made


def _timed(sequence):
    return [(caption, sequence.timed(caption)) for caption in sequence.captions]


def _clock(seconds):
    thousandths = round(seconds * 1000)
    minutes, rest = divmod(thousandths, 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}.{rest % 1000:03d}"


def _escaped(text):
    """A cue ends at an empty line, and & and < begin something else."""
    lines = [line.strip() for line in text.strip().splitlines() if line.strip()]
    return "\n".join(lines).replace("&", "&amp;").replace("<", "&lt;").replace("-->", "--&gt;")

"""Every reason that the frame reader writes has a message, so it is said in any language."""

import ast
import re
from importlib.resources import files
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import finding, green, header, infrared
from lowsun.fieldwork.frames.measuring import Reading
from lowsun.stage.frame_reader import reasons
from lowsun.words import speaking

EVENING = files("lowsun.data") / "evening"
ROOM = Path(frames.__file__).parent
MODULES = ("beside", "clips", "finding", "folder", "green", "header", "infrared", "measuring",
           "outline", "reading")  # fmt: skip
PROSE = re.compile(r"[A-Za-z]{2,}[,;:]? [A-Za-z]{2,}")
NO_REASONS = (  # of a command's own files and folders, and kinds of green; the last have own tests
    "There is no f", "cannot be looked into", "cannot be read as CSV", "its first line must be",
    "give the file's name",
    green.SLIVER, green.PIECE, "limb hidden or torn", "7: the picture has",
    "a function that takes a",
)  # fmt: skip


def texts():
    """The sentences of the reader's modules, with a number in each of their fields."""
    for name in MODULES:
        tree = ast.parse((ROOM / f"{name}.py").read_text(encoding="utf-8"))
        inside = {part for node in ast.walk(tree) if isinstance(node, ast.Expr | ast.JoinedStr)
                  for part in ast.walk(node) if part is not node and isinstance(part, ast.Constant)
                  and (isinstance(node, ast.JoinedStr) or node.value is part)}  # fmt: skip
        for node in ast.walk(tree):
            text = _text(node)
            if node not in inside and PROSE.search(text):
                yield name, text


def _text(node):
    if isinstance(node, ast.JoinedStr):
        return "".join(_text(part) or "7" for part in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


REASONS = [each for each in texts() if not any(part in each[1] for part in NO_REASONS)]


def test_the_reasons_are_found_in_the_code():
    found = {text for _, text in REASONS}
    assert {header.NO_TIME, infrared.SEEN, "sides missing"} <= found
    assert len(found) > 35


@pytest.mark.parametrize(("module", "text"), REASONS)
def test_a_reason_has_a_message(module, text):
    assert reasons.message_of(text) is not None


@pytest.mark.parametrize("which", ["upper", "lower", "upper and lower"])
def test_a_hidden_limb_has_a_message(which):
    assert reasons.message_of(f"{which} limb hidden or torn") is not None


def test_a_tiny_picture_has_a_message():
    assert reasons.message_of(f"{finding.NO_SUN}: the picture has too few pixels") is not None


def test_a_reason_is_said_with_its_numbers():
    stood = (
        "at that time the Sun stood 3.5° below the horizontal: is the clock right, and the place?"
    )
    assert reasons.said(stood) == stood
    with speaking("pt"):
        assert "3,5°" in reasons.said(stood)
        assert "stood" not in reasons.said(stood)


@pytest.mark.parametrize(
    ("reason", "told"),
    [
        (
            "damaged or cut short: image file is truncated (371 bytes not processed)",
            "danificado ou cortado: o ficheiro de imagem está truncado (371 bytes por processar)",
        ),
        ("damaged or cut short: what no decoder says yet", "danificado ou cortado"),
        ("could not be read (ValueError: odd)", "não foi possível ler"),
    ],
)
def test_what_a_decoder_says_is_translated_or_left_out(reason, told):
    assert reasons.said(reason) == reason
    with speaking("pt"):
        assert reasons.said(reason) == told


@pytest.mark.parametrize("share", [0.3, 0.7, 0.99])
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP", "GIF"])
def test_the_reader_says_of_a_damaged_file_nothing_in_english(kind, share, tmp_path):
    whole = BytesIO()
    Image.open(EVENING / "evening-3.jpg").resize((300, 200)).save(whole, kind)
    path = tmp_path / f"a.{kind.lower()}"
    path.write_bytes(whole.getvalue()[: int(share * len(whole.getvalue()))])
    found = frames.readings(path)[0][1].reasons
    with speaking("pt"):
        told = " ".join(map(reasons.said, found))
    assert not re.search(r"\b(the|file|image|data|when|error|decod(e|ing)|failed)\b", told.lower())


def test_an_unknown_reason_is_shown_as_it_is():
    reading = Reading(reasons=("odd {x} 50 %", "no Sun found", "odd {x} 50 %"))
    with speaking("pt"):
        assert reasons.all_said(reading) == "odd {x} 50 %; nenhum Sol encontrado"

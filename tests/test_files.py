"""Files are written whole or not at all, and read with an answer when they cannot be."""

import pytest

from lowsun import files
from lowsun.errors import InputFileError, OutputFileError


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_file_appears_only_when_it_is_whole(tmp_path):
    with files.whole(tmp_path / "a.txt") as draft:
        draft.write_text("half")
        assert not (tmp_path / "a.txt").exists()
        assert draft.suffix == ".txt"
    assert names(tmp_path) == ["a.txt"]


def write(path, then, **settings):
    """Write half a file, then do something else before it is done."""
    with files.whole(path, **settings) as draft:
        draft.write_text("half")
        then()


def fail():
    raise MemoryError("no room")


def interrupt():
    raise KeyboardInterrupt("stop")


def test_a_failure_keeps_what_was_there(tmp_path):
    (tmp_path / "a.txt").write_text("old")
    with pytest.raises(MemoryError, match=r"no room"):
        write(tmp_path / "a.txt", fail, overwrite=True)
    assert (tmp_path / "a.txt").read_text() == "old"
    assert names(tmp_path) == ["a.txt"]


def test_an_interrupt_leaves_nothing(tmp_path):
    with pytest.raises(KeyboardInterrupt, match=r"stop"):
        write(tmp_path / "a.txt", interrupt)
    assert names(tmp_path) == []


def test_a_file_that_came_meanwhile_is_left(tmp_path):
    path = tmp_path / "a.txt"
    with pytest.raises(OutputFileError, match=r"a.txt is already there and was left as it is"):
        write(path, lambda: path.write_text("theirs"))
    assert path.read_text() == "theirs"
    assert names(tmp_path) == ["a.txt"]


def test_a_folder_is_no_file(tmp_path):
    with pytest.raises(OutputFileError, match=r"is a folder. Give the name of a file"):
        write(tmp_path, fail, overwrite=True)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"a = ", r"a.toml is not TOML: Invalid value \(at end of document\)"),
        (b"a = '\xff'", r"a.toml is not TOML: 'utf-8' codec can't decode byte 0xff in position 5"),
    ],
)
def test_what_is_not_toml_names_the_place(tmp_path, content, words):
    (tmp_path / "a.toml").write_bytes(content)
    with pytest.raises(InputFileError, match=words):
        files.toml(tmp_path / "a.toml")


def test_toml_may_begin_with_a_byte_order_mark(tmp_path):
    (tmp_path / "a.toml").write_bytes(b"\xef\xbb\xbfa = 1")
    assert files.toml(tmp_path / "a.toml") == {"a": 1}


def test_what_cannot_be_read_says_why(tmp_path):
    with pytest.raises(InputFileError, match=r"none.toml cannot be read \(No such file"):
        files.toml(tmp_path / "none.toml")

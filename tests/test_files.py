"""Files are written whole or not at all, and read with an answer when they cannot be."""

import errno
import os
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from lowsun import files
from lowsun.errors import InputError, InputFileError, OutputFileError


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


# ---- what is read


def test_a_device_is_never_read():
    with pytest.raises(InputFileError, match="/dev/zero is no regular file"):
        files.content("/dev/zero")


def test_a_pipe_without_a_writer_is_refused_at_once(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(InputFileError, match=r"pipe.toml is no regular file"):
        files.toml(tmp_path / "pipe.toml")


@pytest.mark.parametrize(("size", "read"), [(20, True), (21, False)])
def test_a_file_has_a_sensible_size(tmp_path, size, read):
    (tmp_path / "a").write_bytes(bytes(size))
    if read:
        assert len(files.content(tmp_path / "a", most_bytes=20)) == size
    else:
        with pytest.raises(InputFileError, match=r"0\.0 MB or more; allowed is 2e-05 MB"):
            files.content(tmp_path / "a", most_bytes=20)


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("no such file", r"^no such file cannot be read \(No such file or directory\)"),
        ("/", r"^/ cannot be read \(Is a directory\)|^/ is no regular file"),
        ("x" * 5000, r"^\.\.\.x{100} cannot be read \(File name too long\)"),
    ],
)
def test_what_cannot_be_read_is_told_in_a_sentence(path, words):
    with pytest.raises(InputFileError, match=words):
        files.content(path)


@pytest.mark.parametrize("path", [None, 5, b"name", "", ["a"], "a\0b"])
def test_what_is_no_path_is_refused(path):
    for use in (files.content, files.toml, files.require_writable):
        with pytest.raises(InputError, match=r"path is .*; give the name of a file"):
            use(path)


@pytest.mark.parametrize(
    "content",
    [
        b"a = " + b"9" * 5000,
        b"a = " + b"[" * 100_000,
        b"a = " + b"{b = " * 100_000,
        b"a." * 400_000 + b"b = 1",
        b"[" + b"a." * 2000 + b"a]\n" + b"b = 1\n" * 2,
        b"a = 1\na = 2",
        bytes(1000),
    ],
    ids=[
        "long number",
        "nested arrays",
        "nested tables",
        "long name",
        "nested name",
        "twice",
        "zeros",
    ],
)
def test_malformed_toml_is_told_shortly(tmp_path, content):
    (tmp_path / "a.toml").write_bytes(content)
    with pytest.raises(InputFileError, match=r"a\.toml (is not TOML|nests)") as refused:
        files.toml(tmp_path / "a.toml")
    assert len(str(refused.value)) < 300 + len(str(tmp_path))


# ---- what is written


def test_overwriting_is_allowed_by_true_alone(tmp_path):
    (tmp_path / "a.txt").write_text("old")
    for unclear in ("no", 1, None):
        with pytest.raises(InputError, match=r"overwrite is .*; give True or False"):
            write(tmp_path / "a.txt", fail, overwrite=unclear)
    assert (tmp_path / "a.txt").read_text() == "old"


def test_a_link_is_not_replaced_unasked_and_leads_on_when_asked(tmp_path):
    there, link = tmp_path / "there.txt", tmp_path / "link.txt"
    link.symlink_to(there)  # which does not exist yet
    with pytest.raises(OutputFileError, match=r"link.txt is already there"):
        write(link, fail)
    write(link, lambda: None, overwrite=True)
    assert link.is_symlink()
    assert there.read_text() == "half"


def test_of_four_that_write_at_once_one_wins(tmp_path):
    def one(number):
        try:
            with files.whole(tmp_path / "a.txt") as draft:
                draft.write_text(str(number))
                meet.wait()
        except OutputFileError as refused:
            return str(refused)
        return "won"

    meet = threading.Barrier(4)
    with ThreadPoolExecutor(4) as pool:
        ends = sorted(pool.map(one, range(4)))
    assert ends[-1] == "won"
    assert all("already there" in end for end in ends[:3])
    assert names(tmp_path) == ["a.txt"]


KILLED = """
import os, pathlib, signal, sys
from lowsun import files
with files.whole(pathlib.Path(sys.argv[1]) / "a.txt") as draft:
    draft.write_text("half")
    os.kill(os.getpid(), signal.SIGKILL)
"""


def test_what_a_killed_run_left_is_removed_by_the_next(tmp_path):
    subprocess.run([sys.executable, "-c", KILLED, str(tmp_path)], check=False, timeout=60)
    assert [name.startswith(files.DRAFT) for name in names(tmp_path)] == [True]
    with files.whole(tmp_path / "one.txt") as one:
        one.write_text("one")
        write(tmp_path / "two.txt", lambda: None)
        assert one.read_text() == "one"  # a draft that is being written stays
    assert names(tmp_path) == ["one.txt", "two.txt"]


def no_room():
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize(
    ("name", "then", "words"),
    [
        ("a.txt", no_room, r"a.txt cannot be written \(No space left on device\)"),
        ("x" * 300, fail, r"cannot be written \(File name too long\)"),
        ("no folder/a.txt", fail, r"There is no folder .*no folder"),
    ],
)
def test_what_the_system_refuses_is_told_in_a_sentence(tmp_path, name, then, words):
    with pytest.raises(OutputFileError, match=words):
        write(tmp_path / name, then)
    assert names(tmp_path) == []


def test_the_longest_name_a_folder_takes_is_written(tmp_path):
    write(tmp_path / ("x" * 255), lambda: None)
    assert names(tmp_path) == ["x" * 255]

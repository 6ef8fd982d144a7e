"""What was compiled of other files than these is never run."""

from pathlib import Path

from inchwater.network import ready


def test_what_was_compiled_of_other_files_is_thrown_away(tmp_path):
    """Without a stamp, or with another one, kept code is removed and the stamp written."""
    old = tmp_path / "kernel.work-55.py311.nbi"
    other = tmp_path / "something.nbi"
    for path in (old, other):
        path.write_bytes(b"compiled")
    assert not ready._current(tmp_path)
    assert not old.exists()
    assert other.exists()
    old.write_bytes(b"compiled")
    assert ready._current(tmp_path)
    (tmp_path / "kernel.digest").write_text("of another day")
    assert not ready._current(tmp_path)
    assert not old.exists()


def test_a_folder_that_cannot_be_written_in_is_no_error(tmp_path):
    """Where the folder's name is that of a file, the solver is compiled at each start."""
    taken = tmp_path / "file"
    taken.write_text("not a folder")
    assert not ready._current(Path(taken))

"""Delivery: the old pack or the new, never half; nothing of the builder's is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from boardwright import deliver
from boardwright.disk import on_disk
from boardwright.errors import DefectError, InputError

ONE = {"pack.json": b"{}", "dxf/a.dxf": b"one"}
TWO = {"pack.json": b"{ }", "dxf/b.dxf": b"two"}


def test_first_delivery_writes_every_file(tmp_path: Path) -> None:
    out = tmp_path / "pack"
    assert deliver.deliver(out, ONE, {}) == []
    assert on_disk(out) == deliver.digests(ONE)


def test_second_delivery_replaces_the_first(tmp_path: Path) -> None:
    out = tmp_path / "pack"
    deliver.deliver(out, ONE, {})
    assert deliver.deliver(out, TWO, deliver.digests(ONE)) == []
    assert on_disk(out) == deliver.digests(TWO)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["pack"]


def test_edited_and_added_files_are_kept(tmp_path: Path) -> None:
    out = tmp_path / "pack"
    deliver.deliver(out, ONE, {})
    (out / "dxf" / "a.dxf").write_bytes(b"my own correction")
    (out / "notes.txt").write_bytes(b"bought on Saturday")
    kept = deliver.deliver(out, TWO, deliver.digests(ONE))
    assert kept == ["dxf/a.dxf was changed by hand: your version is kept as dxf/a.edited.dxf"]
    assert (out / "dxf" / "a.edited.dxf").read_bytes() == b"my own correction"
    assert (out / "notes.txt").read_bytes() == b"bought on Saturday"
    # and again: what was carried over stays
    deliver.deliver(out, ONE, deliver.digests(TWO))
    assert (out / "dxf" / "a.edited.dxf").read_bytes() == b"my own correction"


def test_a_folder_of_other_things_is_refused(tmp_path: Path) -> None:
    out = tmp_path / "holiday"
    out.mkdir()
    (out / "photo.jpg").write_bytes(b"x")
    with pytest.raises(InputError) as error:
        deliver.deliver(out, ONE, {})
    assert error.value.findings[0].code == "BW-PACK-002"
    assert on_disk(out).keys() == {"photo.jpg"}


@pytest.mark.parametrize("path", ["../x", "/etc/x", "a/../../x", "a\\b", ""])
def test_no_output_reaches_outside(tmp_path: Path, path: str) -> None:
    with pytest.raises(DefectError):
        deliver.deliver(tmp_path / "pack", {path: b"x"}, {})
    assert list(tmp_path.iterdir()) == []


def test_failure_while_writing_leaves_the_old_pack(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "pack"
    deliver.deliver(out, ONE, {})
    real = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if self.name == "pack.json":
            raise OSError(28, "No space left on device")
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(InputError) as error:
        deliver.deliver(out, TWO, deliver.digests(ONE))
    assert error.value.findings[0].code == "BW-PACK-003"
    assert "No space left" in error.value.findings[0].says
    assert on_disk(out) == deliver.digests(ONE)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["pack"]


def test_interrupted_swap_is_finished_next_time(tmp_path: Path) -> None:
    """A kill between the two renames leaves the old pack beside; the next run puts it back."""
    out = tmp_path / "pack"
    deliver.deliver(out, ONE, {})
    out.rename(tmp_path / "pack.older")
    deliver.recover(out)
    assert on_disk(out) == deliver.digests(ONE)

"""Delivery: the old pack or the new, never half; nothing of the builder's is lost."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

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


def test_killed_at_any_step_the_pack_is_old_or_new(tmp_path: Path) -> None:
    """The process is killed at the n-th call that touches the disk, for every n, with exchange or not."""
    for at_once in (True, False):
        kills = 0
        for n in range(1, 200):
            place = tmp_path / f"{at_once}-{n}"
            place.mkdir()
            out = place / "pack"
            deliver.deliver(out, ONE, {})
            child = os.fork()
            if child == 0:
                _die_at(n, at_once)
                deliver.deliver(out, TWO, deliver.digests(ONE))
                os._exit(0)
            _, status = os.waitpid(child, 0)
            if at_once:
                assert on_disk(out) in (deliver.digests(ONE), deliver.digests(TWO))
            deliver.recover(out)
            assert on_disk(out) in (deliver.digests(ONE), deliver.digests(TWO))
            deliver.deliver(out, TWO, deliver.digests(ONE))
            assert on_disk(out) == deliver.digests(TWO)
            assert [p.name for p in place.iterdir()] == ["pack"]
            if not os.WIFSIGNALED(status):
                break
            kills += 1
        assert kills >= 6


def _die_at(n: int, at_once: bool) -> None:
    """Make the n-th disk call kill this process before it is done."""
    left = [n]

    def dying(real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*a: Any, **k: Any) -> Any:
            left[0] -= 1
            if left[0] == 0:
                os.kill(os.getpid(), signal.SIGKILL)
            return real(*a, **k)

        return call

    Path.rename = dying(Path.rename)  # type: ignore[method-assign]  # in a forked process only
    Path.write_bytes = dying(Path.write_bytes)  # type: ignore[method-assign]
    Path.mkdir = dying(Path.mkdir)  # type: ignore[method-assign]
    deliver.shutil.rmtree = dying(deliver.shutil.rmtree)
    deliver.exchange = dying(deliver.exchange) if at_once else (lambda *_: False)

"""The key of a machine on which nobody has set one."""

import stat
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from config import secret


def test_it_is_made_once_and_for_its_owner_alone(tmp_path):
    path = tmp_path / "var" / "secret_key"
    made = secret.kept(path)
    assert len(made) == 86
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert secret.kept(path) == path.read_text() == made
    assert list(path.parent.iterdir()) == [path]
    assert secret.kept(tmp_path / "other") != made


def test_all_that_start_at_once_get_the_same(tmp_path):
    start = Barrier(8)

    def begin(_):
        start.wait()
        return secret.kept(tmp_path / "secret_key")

    with ThreadPoolExecutor(8) as processes:
        assert len(set(processes.map(begin, range(8)))) == 1

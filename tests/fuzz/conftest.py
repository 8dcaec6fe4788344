"""A fuzzed input gets its answer before a deadline, and the answer is one of two."""

import shutil
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from almanac.errors import ConfigError
from almanac.inputs.config import load_config
from almanac.records.config import ClubConfig

ROOT = Path(__file__).resolve().parents[2]
DEADLINE_S = 20
"""Of work, far more than any input takes: beyond it the program hangs."""


class Hang(BaseException):
    """Not an Exception, so that nothing on the way takes it for one of its own."""


@contextmanager
def deadline() -> Iterator[None]:
    """Raise Hang if what is done within takes too long."""

    def ring(_signal: int, _frame: FrameType | None) -> None:
        raise Hang

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, DEADLINE_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def pytest_configure(config: pytest.Config) -> None:
    """Take as many examples as ``--examples`` asks for."""
    settings.register_profile(
        "fuzz",
        max_examples=config.getoption("--examples"),
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
    )


def answer_of(path: Path) -> ClubConfig | ConfigError:
    """The record of a config, or its ConfigError; anything else is raised."""
    with deadline():
        try:
            return load_config(path)
        except ConfigError as error:
            return error


def check(answer: Any) -> None:
    """A record keeps its word; an error has faults that each fit on a screen."""
    if isinstance(answer, ConfigError):
        assert answer.faults
        for fault in answer.faults:
            assert fault.allowed
            assert fault.value
            assert fault.key
            assert len(str(fault)) < 700
            assert str(fault).isprintable()
        return
    assert isinstance(answer, ClubConfig)
    assert answer.sites
    assert len({site.slug for site in answer.sites}) == len(answer.sites)
    assert all(1900 <= year <= 2052 for year in answer.club.years)
    assert all(300 <= site.pressure_hpa <= 1100 for site in answer.sites)
    assert all(len(site.horizon.azimuth_deg) >= 1 for site in answer.sites)
    assert len(answer.moon.hours) == 7
    titles = [meeting.title for meeting in answer.meetings]
    for name in (answer.club.name, *(site.name for site in answer.sites), *titles):
        assert name.isprintable() or " " in name
        assert len(name) <= 120


@pytest.fixture
def answered(tmp_path: Path) -> Callable[[bytes], ClubConfig | ConfigError]:
    """What comes of a config of these bytes beside the demo's horizons, checked."""
    shutil.copytree(ROOT / "site_config/horizons", tmp_path / "horizons")
    path = tmp_path / "club.toml"

    def answered(source: bytes) -> ClubConfig | ConfigError:
        path.write_bytes(source)
        answer = answer_of(path)
        check(answer)
        return answer

    return answered


@pytest.fixture(scope="session")
def in_time() -> Callable[[], Any]:
    """A block that must end before the deadline."""
    return deadline

"""What the methods page promises is what the tests hold."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from almanac.publish.agreements import AGREEMENTS, Agreement
from almanac.publish.pages.methods import methods_view
from almanac.publish.wording import Wording
from almanac.records import agreement
from almanac.records.config import ClubConfig
from almanac.records.year import YearAlmanac

NUMBER = re.compile(r"\d+(?:\.\d+)?")
BOUNDS = [name for name in vars(agreement) if name.isupper()]


@pytest.mark.parametrize("told", AGREEMENTS, ids=lambda told: told.quantity)
def test_the_page_tells_the_bounds(told: Agreement) -> None:
    """The numbers in the words are the bounds, in order."""
    numbers = [float(number) for number in NUMBER.findall(told.held_to)]
    assert numbers == pytest.approx(list(told.bounds), rel=1e-12)


@pytest.mark.parametrize("bound", BOUNDS)
def test_each_bound_is_told_and_held(bound: str, root: Path) -> None:
    """Each stands in the page's table, and in a test of the room that makes the figure."""
    assert f"held.{bound}" in (root / "almanac/publish/agreements.py").read_text("utf-8")
    rooms = [file for room in ("sky", "plan", "site_year") for file in root.glob(f"tests/{room}/*")]
    texts = [file.read_text("utf-8") for file in rooms if file.suffix == ".py"]
    imported_and_used = [text for text in texts if len(re.findall(rf"\b{bound}\b", text)) > 1]
    assert imported_and_used != []


def test_the_page_tells_from_where_lists_warn(
    north: YearAlmanac, make_config: Callable[..., ClubConfig]
) -> None:
    """Short clips and unsure hops have their thresholds on the page."""
    view = methods_view(north.made_with, make_config((north.site,)), Wording("en", "Europe/Paris"))
    assert (view.short_clip, view.unsure_hop) == ("10", "60%")


def test_numbers_keep_their_units(
    north: YearAlmanac, make_config: Callable[..., ClubConfig]
) -> None:
    """No line breaks between them in the narrow column."""
    view = methods_view(north.made_with, make_config((north.site,)), Wording("en", "Europe/Paris"))
    told = [agreement.held_to for agreement in view.agreements]
    assert "5\u00a0s, 0.1\u00a0km" in told
    assert [text for text in told if re.search(r"\d (s|min|km)\b", text)] == []

"""The pages of the nights and the data say the same."""

import shutil
from pathlib import Path

from page_texts import page_breaches


def test_every_nights_page_says_what_the_data_say(demo_site: Path) -> None:
    """Hours, star, hop, heights, blur and the Moon of every night of both sites' year."""
    folders = sorted(path.parent for path in demo_site.rglob("year.json"))
    assert len(folders) == 2
    assert [found for folder in folders for found in page_breaches(folder)] == []


def test_a_page_that_says_otherwise_is_noticed(quarry_site: Path, tmp_path: Path) -> None:
    """An hour, a star and a figure that differ from the data are each found."""
    folder = Path(shutil.copytree(quarry_site / "quarry-field/2027", tmp_path / "2027"))
    page = folder / "2027-01-12.html"
    text = page.read_text(encoding="utf-8")
    for old, new in (("19:15", "19:16"), ("Deneb", "Vega"), ("394,069", "394,070")):
        assert old in text
        page.write_text(text.replace(old, new), encoding="utf-8")
        broken = list(page_breaches(folder))
        assert broken
        assert all(found.startswith("2027-01-12") and old in found for found in broken)

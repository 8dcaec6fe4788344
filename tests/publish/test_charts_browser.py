"""The charts' words as a real browser sets them, in the fonts of this machine."""

import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from almanac.publish.charts.drawing import WIDTH
from almanac.publish.charts.night import night_chart
from almanac.publish.charts.night_scale import night_scale
from almanac.publish.charts.year import year_chart
from almanac.publish.wording import Wording
from almanac.records.year import YearAlmanac

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
MEASURE = """
const bad = [];
let count = 0;
for (const svg of document.querySelectorAll("svg")) {
  const texts = [...svg.querySelectorAll("text")].map(node => {
    const box = node.getBBox(), inset = box.height * 0.15;
    count += 1;
    return [node.textContent, box.x, box.y + inset, box.x + box.width, box.y + box.height - inset];
  });
  texts.forEach(([one, left, top, right, bottom], i) => {
    if (left < 0 || right > WIDTH || top < 0 || bottom > svg.viewBox.baseVal.height)
      bad.push([svg.id, one, "leaves the drawing"]);
    for (const [other, left2, top2, right2, bottom2] of texts.slice(0, i))
      if (left < right2 && left2 < right && top < bottom2 && top2 < bottom)
        bad.push([one, other]);
  });
}
document.body.textContent = "found:" + JSON.stringify([count, bad]) + ":end";
""".replace("WIDTH", str(WIDTH))


@pytest.mark.browser
@pytest.mark.parametrize("size", ["20px", "12px"])
def test_words_never_meet(
    north: YearAlmanac, polar: YearAlmanac, tmp_path: Path, size: str
) -> None:
    """As Chromium sets them, for a phone and a desk, no words meet or leave a drawing."""
    program = shutil.which("chromium")
    if program is None:
        assert os.environ.get("CI") != "true", "CI needs chromium for the browser tests"
        pytest.skip("no chromium on this machine")
    page = tmp_path / "charts.html"
    page.write_text(
        f"<!doctype html><meta charset=utf-8><style>:root{{--chart-text:{size}}}</style>"
        f"<body>{''.join(drawings(north) + drawings(polar))}<script>{MEASURE}</script>"
    )
    shown = subprocess.run(
        [program, *FLAGS, f"--user-data-dir={tmp_path / 'profile'}", "--dump-dom", page.as_uri()],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    ).stdout
    found = re.search(r"found:(.*):end", shown)
    assert found, shown[-500:]
    count, bad = json.loads(found[1])
    assert count > 1000
    assert bad == []


def drawings(almanac: YearAlmanac) -> list[str]:
    """Every third night and the year of a site."""
    words, scale = Wording("en", almanac.site.timezone), night_scale(almanac)
    return [
        *(night_chart(almanac, night, words, scale) for night in almanac.nights[::3]),
        year_chart(almanac, words, almanac.site.slug),
    ]

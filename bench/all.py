"""Every bench, one after another, each with its own table.

python bench/all.py [--only menu walk ...]
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
#: Not benches of speed, or not to be run with the others.
APART = {"all", "fuzz", "mutation"}


def main() -> None:
    """Run them; status 1 when one fails."""
    names = sorted(
        path.stem for path in HERE.glob("*.py") if path.stem not in APART and _is_bench(path)
    )
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--only", nargs="+", choices=names, default=names)
    failed = []
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    for name in words.parse_args().only:
        print(f"\n== bench/{name}.py", flush=True)
        done = subprocess.run([sys.executable, str(HERE / f"{name}.py")], env=environment,
                              check=False)  # fmt: skip
        if done.returncode:
            failed.append(name)
    if failed:
        raise SystemExit("failed: " + ", ".join(failed))


def _is_bench(path: Path) -> bool:
    """It can be run by itself."""
    return '__name__ == "__main__"' in path.read_text("utf-8")


if __name__ == "__main__":
    main()

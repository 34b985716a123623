"""Run the benchmark: all parts, each in a process of its own so that its memory is its own, or the one named."""

import importlib
import subprocess
import sys

from tests.bench.figures import print_part

PARTS = {
    "science": "tests.bench.science",
    "pages": "tests.bench.pages",
    "promises": "tests.bench.promises",
    "phone": "tests.bench.phone",
    "readings": "tests.bench.readings",
    "run-page": "tests.bench.run_page",
    "phone-page": "tests.bench.phone_page",
}
# part: module with figures() -> iterable of Figure; a new part is a line here


def main(names: list[str]) -> int:
    unknown = [name for name in names if name not in PARTS]
    if unknown:
        print(f"no part {', '.join(unknown)}; there are: {', '.join(PARTS)}", file=sys.stderr)
        return 2
    if len(names) == 1:
        print_part(names[0], importlib.import_module(PARTS[names[0]]).figures)
        return 0
    codes = [subprocess.run([sys.executable, "-m", "tests.bench", name]).returncode for name in names or PARTS]
    return max(codes)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

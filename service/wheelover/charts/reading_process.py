"""The process that reads cells: ``python -m wheelover.charts.reading_process FOLDER LIMITS``.

It shuts itself in before it looks at anything, reads the files of its folder, asks for what is
stored of the cells among them, and writes what it made back into the folder. It says how far it is
in lines of JSON on its output.
"""

import sys
from pathlib import Path

from wheelover.charts.cage import shut_in
from wheelover.charts.messages import OUTPUT_MB

if __name__ == "__main__":
    _folder = Path(sys.argv[1])
    _held = shut_in(_folder, memory_mb=int(sys.argv[2]), cpu_s=int(sys.argv[3]), file_mb=OUTPUT_MB)
    from wheelover.charts.reading import read_all

    sys.exit(read_all(_folder, _held))

import subprocess
import sys
from pathlib import Path

from soapshop.bootstrap.lock import _taken, only_one_at_a_time

ROOT = Path(__file__).parents[3]
HOLD_IT = """
import sys
from pathlib import Path
from soapshop.bootstrap.lock import only_one_at_a_time
with only_one_at_a_time(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.read()
"""


def test_a_second_process_has_to_wait_until_the_first_ends(tmp_path):
    path = tmp_path / "preparing.lock"
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD_IT, str(path)],
        cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    with path.open("a+b") as file:
        assert not _taken(file)
    holder.kill()
    holder.communicate()
    # Killed, not closed: the system itself let the lock go.
    with only_one_at_a_time(path):
        assert path.exists()

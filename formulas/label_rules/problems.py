"""What stands between a label and its printing."""

from dataclasses import dataclass
from typing import Literal

Level = Literal["stop", "ask", "note"]


@dataclass(frozen=True)
class Problem:
    """Say what is wrong and the mend. "stop" blocks printing, "ask" needs a person, "note" only tells."""

    level: Level
    code: str
    text: str
    mend: str

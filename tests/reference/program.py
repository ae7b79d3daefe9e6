"""The program under test: one process, a line in for each case, an object out for each line."""

import json
import subprocess
import tempfile
from pathlib import Path
from typing import Any


def answers(program: Path, lines: list[str]) -> list[dict[str, Any]]:
    """The reply to each line, in a shop with an empty record."""
    with tempfile.TemporaryDirectory() as data:
        run = subprocess.run(
            [program, "say", "--data", data, "--json", "-"],
            input="\n".join(lines) + "\n",
            capture_output=True,
            text=True,
            check=False,
        )
    replies = [json.loads(line) for line in run.stdout.splitlines()]
    if len(replies) != len(lines):
        raise RuntimeError(f"{len(lines)} lines in, {len(replies)} replies out: {run.stderr.strip()}")
    return replies


def commands(program: Path) -> list[str]:
    """Every command, as the help's table lists them: `ring gap`, `convert`."""
    text = answers(program, ["help"])[0]["text"].splitlines()
    heading = next(at for at, line in enumerate(text) if line.startswith(" COMMAND "))
    width = text[heading].index("WHAT IT DOES")
    first = (line[1:width].strip() for line in text[heading + 1 :] if line.startswith(" "))
    return [words for words in first if words]

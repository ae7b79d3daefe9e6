"""Recomputes random cases of every sum with general libraries and compares: `check.py target/debug/gudgeon`.

Fails on a number that is off, a number without a reference, a refusal, and a sum that nobody recomputes.
"""

import sys
from collections.abc import Callable
from pathlib import Path

from case import Case
from compare import faults
from draw import Draw
from families import SUMS
from program import answers, commands
from without import WITHOUT

CASES = 44


def drawn(name: str, sum_of: Callable[[Draw], Case]) -> list[Case]:
    return [sum_of(Draw(name, number)) for number in range(CASES)]


def uncovered(program: Path) -> list[str]:
    """Commands with neither a reference nor a reason, and names here that are no command."""
    every, named = set(commands(program)), set(SUMS) | set(WITHOUT)
    left = [f"{name}: no reference recomputes it, and without.py gives no reason" for name in sorted(every - named)]
    gone = [f"{name}: named here, no command of the program" for name in sorted(named - every)]
    twice = [f"{name}: recomputed and excused at once" for name in sorted(set(SUMS) & set(WITHOUT))]
    return left + gone + twice


def main(program: Path, wanted: list[str]) -> int:
    chosen = {name: sum_of for name, sum_of in SUMS.items() if not wanted or name in wanted}
    cases = {name: drawn(name, sum_of) for name, sum_of in chosen.items()}
    replies = iter(answers(program, [case.line for of_sum in cases.values() for case in of_sum]))
    wrong: list[str] = []
    print(f"{'sum':<28}{'cases':>6}{'numbers':>9}{'off':>5}")
    for name, of_sum in cases.items():
        found = [(case, faults(case, next(replies))) for case in of_sum]
        numbers = sum(len(case.values) for case in of_sum)
        off = [f"{case.line}\n    " + "\n    ".join(said) for case, said in found if said]
        print(f"{name:<28}{len(of_sum):>6}{numbers:>9}{len(off):>5}")
        if not numbers:
            off.append(f"{name}: no number was compared")
        wrong += off
    wrong += [f"{name}: no such sum here" for name in wanted if name not in SUMS]
    wrong += uncovered(program)
    print("\n".join(wrong) if wrong else "every number agrees")
    return 1 if wrong else 0


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("check.py PROGRAM [SUM...]: a sum by its name, such as 'ring gap'")
    sys.exit(main(Path(sys.argv[1]), sys.argv[2:]))

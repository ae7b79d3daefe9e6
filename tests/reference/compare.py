"""A reply held against what was expected of it."""

from typing import Any

from pint import DimensionalityError, Quantity

from case import FLOOR, RELATIVE, Case, Expected, Near
from quantities import REGISTRY, WRITTEN, quantity


def faults(case: Case, reply: dict[str, Any]) -> list[str]:
    """What is off, in words; nothing where all is right."""
    if "values" not in reply:
        return [f"refused: {reply.get('text', reply)}"]
    found = {value["name"]: value for value in reply["values"]}
    missing = [f"{name}: expected, not in the reply" for name in case.values if name not in found]
    unknown = [f"{name}: in the reply, no reference for it" for name in found if name not in case.values]
    off = [
        fault
        for name, expected in case.values.items()
        if name in found and (fault := _off(name, expected, found[name]))
    ]
    if case.verdict is not None and reply["verdict"] != case.verdict:
        off.append(f"verdict: ours {case.verdict}, theirs {reply['verdict']}")
    return missing + unknown + off


def _off(name: str, expected: Expected, found: dict[str, Any]) -> str | None:
    near = expected if isinstance(expected, Near) else Near(expected, "", RELATIVE, FLOOR)
    if found["unit"] not in WRITTEN:
        return f"{name}: unit {found['unit']!r} is not known"
    ours, theirs = REGISTRY.Quantity(near.value), quantity(found["value"], found["unit"])
    try:
        # Fails where the two are not of one kind.
        ours.to(theirs.units)
        apart = abs(_si(theirs) - _si(ours))
    except DimensionalityError as error:
        return f"{name}: {error}"
    # Not `>`: what is not a number must fail as well.
    if not apart <= near.relative * abs(_si(ours)) + near.floor:
        return f"{name}: ours {ours.to(theirs.units)}, theirs {theirs}"
    return None


def _si(value: Quantity) -> float:
    return float(value.to_base_units().magnitude)

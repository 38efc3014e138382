"""How a bench prints, in words and columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shadewright.printing import AsPrinted, Spread

LABEL_WIDTH = 36
_COLUMN = 17


def habit_cells(habits: AsPrinted) -> tuple[tuple[str, str, str], ...]:
    """Every habit as label, number with its spread (one standard deviation), and unit."""
    return (
        ("outer walls grow by", _spread(habits.outer_growth, 3), "mm a side"),
        ("round holes shrink by", _spread(habits.hole_shrink, 3), "mm"),
        ("and by this over their diameter", _spread(habits.hole_curl, 2), "mm²"),
        ("lengths along X and Y come out at", _spread(habits.scale_xy, 2, 100), "%"),
        ("heights come out at", _spread(habits.scale_z, 2, 100), "%"),
        ("the first layer flares by", _spread(habits.flare, 3), "mm a side"),
        ("scatter from print to print", f"{habits.scatter:.3f}", "mm"),
    )


def habit_lines(habits: AsPrinted) -> list[str]:
    """One column, for what is known today."""
    return [f"    {label:<{LABEL_WIDTH}}{value:>{_COLUMN}} {unit}" for label, value, unit in habit_cells(habits)]


def before_and_after(before: AsPrinted, after: AsPrinted) -> list[str]:
    """Two columns with a head."""
    lines = [f"  {'':<{LABEL_WIDTH}}{'before':>{_COLUMN}}{'now':>{_COLUMN}}"]
    for (label, then, unit), (_, now, _) in zip(habit_cells(before), habit_cells(after), strict=True):
        lines.append(f"  {label:<{LABEL_WIDTH}}{then:>{_COLUMN}}{now:>{_COLUMN}} {unit}")
    return lines


def _spread(spread: Spread, digits: int, factor: float = 1.0) -> str:
    return f"{factor * spread.mean:.{digits}f} ± {factor * spread.sd:.{digits}f}"

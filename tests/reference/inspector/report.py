"""What an inspection says: faults, and what was measured."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field


@dataclass
class Report:
    """faults : (what kind, which part, what). measures : by name, all values. counts : of what was looked at."""

    faults: list[tuple[str, str, str]] = field(default_factory=list)
    measures: dict[str, list[float]] = field(default_factory=dict)
    counts: Counter = field(default_factory=Counter)

    def fault(self, kind: str, part: str, text: str) -> None:
        self.faults.append((kind, part, text))

    def judge(self, ok: bool, kind: str, part: str, text: str) -> None:
        """Count one thing looked at, and keep it where it is wrong."""
        self.counts[kind] += 1
        if not ok:
            self.fault(kind, part, text)

    def measure(self, name: str, value: float) -> None:
        self.measures.setdefault(name, []).append(float(value))

    def kinds(self) -> set[str]:
        return {kind for kind, _, _ in self.faults}

    def text(self) -> str:
        """Return it for a reader: what was looked at, measured, and found."""
        wrong = Counter(kind for kind, _, _ in self.faults)
        lines = [f"{kind}: {wrong[kind]} wrong of {count}" for kind, count in sorted(self.counts.items())]
        for name, values in sorted(self.measures.items()):
            ordered = sorted(values)
            middle = ordered[len(ordered) // 2]
            lines.append(
                f"{name}: least {ordered[0]:.4g}, middle {middle:.4g}, most {ordered[-1]:.4g}, sum {sum(ordered):.6g}"
                f" ({len(ordered)})"
            )
        lines += [f"FAULT {kind} {part}: {text}" for kind, part, text in self.faults]
        return "\n".join(lines)

"""Why stacks were not chosen, gathered into groups that can be read at a glance."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from laydown.domain.plan import Rejected


@dataclass(frozen=True, slots=True, kw_only=True)
class RejectionGroup:
    """Stacks that lost at the same stage by the same rule.

    ``reason`` is the one most of them share, ``others`` how many have another one.
    """

    stage: str
    rule: str
    count: int
    reason: str
    others: int
    stacks: tuple[Rejected, ...]


def group_rejections(rejected: Sequence[Rejected]) -> tuple[RejectionGroup, ...]:
    """Group by stage and rule, in the order in which the stages first come up; larger groups first within a stage."""
    groups: dict[tuple[str, str], list[Rejected]] = {}
    for one in rejected:
        groups.setdefault((one.stage, one.rule), []).append(one)
    stages = list(dict.fromkeys(stage for stage, _ in groups))
    made = []
    for (stage, rule), members in groups.items():
        reason, shared = Counter(one.reason for one in members).most_common(1)[0]
        made.append(
            RejectionGroup(
                stage=stage,
                rule=rule,
                count=len(members),
                reason=reason,
                others=len(members) - shared,
                stacks=tuple(members),
            )
        )
    return tuple(sorted(made, key=lambda group: (stages.index(group.stage), -group.count)))

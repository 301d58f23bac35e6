"""Which rules are broken, how often, with an example: `python -m tests.agreement.survey [PART PARTS | further]`."""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Iterator

from tests.agreement.met import MET, PLACES
from tests.agreement.rules import RULES
from tests.agreement.test_rules import RULE_FILES
from tests.agreement.variants import COUNT, cases


def main() -> None:
    """Print every broken rule with the number of variants that break it, and one of them."""
    part, parts = (int(x) for x in sys.argv[1:3]) if len(sys.argv) > 2 else (0, 1)
    which = slice(COUNT + 1, None) if sys.argv[1:] == ["further"] else slice(part, None, parts)
    counts: Counter[str] = Counter()
    example: dict[str, str] = {}
    took: Counter[str] = Counter()
    asked: dict[str, set[str]] = {}
    for views in cases()[which]:
        before = dict(MET)
        for rule in RULES:
            begun = time.perf_counter()
            said = list(rule.broken(views))
            took[rule.sentence] += time.perf_counter() - begun
            if said:
                counts[rule.sentence] += 1
                example.setdefault(rule.sentence, f"[{views.name}] {said[0]}")
        asked[views.name] = {place for place, number in MET.items() if number > before.get(place, 0)}
    for sentence, count in counts.most_common():
        print(f"{count:4} {sentence}\n       {example[sentence]}")
    print(f"{len(RULES)} rules in {len(RULE_FILES)} files, {len(counts)} broken, {sum(took.values()):.0f} s")
    for place in (place for place in PLACES if not MET[place]):
        print(f"   never asked: {place}")
    print("Few variants that ask all else, for WITNESSES:")
    for name in witnesses(asked):
        print(f'    "{name}",')
    for sentence, seconds in took.most_common(4):
        print(f"   {seconds:.1f} s {sentence}")


def witnesses(asked: dict[str, set[str]]) -> Iterator[str]:
    """Variants that together ask every place that any asks: the one that asks most of what is left comes next."""
    left = set().union(*asked.values())
    while left:
        name = max(asked, key=lambda name: len(asked[name] & left))
        left -= asked[name]
        yield name


if __name__ == "__main__":
    main()

"""Writes tests/data/formulas-more.jsonl: texts as people paste them, with the values that a right reading gives.

    python tests/outside/corpus.py            write the file
    python tests/outside/corpus.py --check    fail if the file differs from what the entries say

The texts and the mathematics meant stand side by side in corpus_parts/, in the format of the public test
formulas. No text is read here: that is the reader's work, and this file is what it is measured against.
"""

import importlib
import json
import math
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))

import corpus_laws  # noqa: E402

PARTS = ["plain", "unicode", "tex", "code", "damaged", "given", "solids", "curves", "surfaces", "ambiguous", "rejects"]
DATA = pathlib.Path(__file__).parent.parent / "data" / "formulas-more.jsonl"


def entries():
    """All entries of all parts, in order."""
    for part in PARTS:
        importlib.import_module(f"corpus_parts.{part}")
    return importlib.import_module("corpus_parts.entry").ENTRIES


def numbers(entry):
    """Every number that the entry promises."""
    found = list(entry["values"])
    for other in entry.get("alternatives", []):
        found += other["values"]
    return [c for v in found for c in (v if isinstance(v, list) else [v])]


def faults(all_entries):
    """What is wrong with the entries themselves."""
    seen = {}
    for entry in all_entries:
        name = entry["id"]
        if name in seen:
            yield f"{name}: the name is used twice"
        if entry["text"] in seen.values():
            yield f"{name}: the text is used twice"
        seen[name] = entry["text"]
        if not all(math.isfinite(c) for c in numbers(entry)):
            yield f"{name}: a value is not finite"
        if entry["kind"] == "reject":
            continue
        if len(entry["points"]) != len(entry["values"]) or len(entry["points"]) < 6:
            yield f"{name}: too few points"
        if len({json.dumps(v) for v in entry["values"]}) < 2:
            yield f"{name}: the values do not tell one reading from another"
        for other in entry.get("alternatives", []):
            if other["values"] == entry["values"]:
                yield f"{name}: the alternative `{other['reading']}` has the same values"


def main():
    found = entries()
    wrong = list(faults(found)) + list(corpus_laws.faults(importlib.import_module("corpus_parts.entry").MEANT))
    for line in wrong:
        print(line)
    if "--check" in sys.argv:
        kept = [json.loads(line) for line in DATA.read_text(encoding="utf-8").splitlines()]
        wrong += differences(found, kept)
    elif not wrong:
        DATA.parent.mkdir(parents=True, exist_ok=True)
        DATA.write_text("".join(json.dumps(e, ensure_ascii=False) + "\n" for e in found), encoding="utf-8")
    kinds = [e["kind"] for e in found]
    print(f"{len(found)} texts:", ", ".join(f"{kinds.count(k)} {k}" for k in dict.fromkeys(kinds)))
    return 1 if wrong else 0


def differences(found, kept):
    """Entries whose kept values are not those that the entry gives now (last digits may differ between systems)."""
    wrong = []
    if [e["id"] for e in found] != [e["id"] for e in kept]:
        wrong.append("the file holds other entries than corpus_parts/: write it again")
    for now, then in zip(found, kept):
        same = now["text"] == then["text"] and all(
            abs(a - b) <= 1e-11 * max(1.0, abs(a)) for a, b in zip(numbers(now), numbers(then), strict=True)
        )
        if not same:
            wrong.append(f"{now['id']}: the file holds another text or other values")
    for line in wrong:
        print(line)
    return wrong


if __name__ == "__main__":
    sys.exit(main())

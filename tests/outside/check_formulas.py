"""The formula reader against other people's answers.

Usage: check_formulas.py TARGET_FOLDER|PROGRAM [--list] [NAME...]

1. The corpus itself is as its generator says, and its named forms obey the laws in corpus_laws.py.
2. Every text of tests/data/formulas*.jsonl goes through `ogee read - --json`; kind, relation, stated
   ranges and every value are compared (relative 1e-9, absolute below 1). A listed other reading counts only with a
   remark.
3. The program's own normal form reads back to the same values.
4. Formulas that sympy can read itself: sympy's values against the program's, to 1e-9. sympy reads TeX and plain text
   with grammars of its own, so neither the texts' author nor ours has a say in it.
5. Long and deep texts end in a clear fault, or a right answer, within two seconds.

With names, only those entries; --list prints a line for each entry that is not read as meant.
"""

import concurrent.futures
import json
import math
import os
import pathlib
import subprocess
import sys
import time

import sympy
from sympy.parsing.latex import parse_latex
from sympy.parsing.sympy_parser import (
    convert_xor,
    implicit_multiplication_application,
    parse_expr,
    split_symbols,
    standard_transformations,
)

HERE = pathlib.Path(__file__).parent
DATA = HERE.parent / "data"
RELATIVE = 1e-9
SECONDS = 20.0
RELATIONS = {"=": {"="}, "expr": {"none"}, "<": {"<", "<=", "≤"}, ">": {">", ">=", "≥"}}
# Entries that sympy's own grammars read as they are meant, found by trying all; the rest it refuses or misreads.
BY_TEX = """a09-cayley a10-clebsch a13-heart-product a14-tanglecube a15-decocube a17-whitney a19-goursat a28-superellipsoid
    a32-cushion a47-square-brackets a61-folium c01-gyroid c02-gyroid-display c06-neovius c11-clebsch c15-togliatti
    c18-heart c19-heart-200 c20-roman c25-torus c27-scherk c28-scherk-exp c30-catenoid c31-helicoid c33-fourth-root
    c35-dfrac c36-frac-glued c45-cdot-times c59-fn-power c60-inverse-fn c61-arctan c62-ln-bare c63-exp c64-pi-coef
    c66-sum c68-prod c76-power-no-braces c83-sin-paren-power c84-overline-free g01-sum-tex g02-sum-parameter
    g03-sum-alternating g08-sum-brackets""".split()
BY_PLAIN = """a02-schwarz-p a04-schwarz-d-two a07-frd a11-ding-dong a12-heart a16-roman a20-chmutov a21-torus
    a22-torus-quartic a23-scherk a26-helicoid a27-monkey-saddle a34-dupin a37-sine-surface a38-two-pi-bare a41-ln
    a42-ln-bare a43-exp-minus a45-scientific a46-point-five a50-min-three a55-star-signs a56-double-minus
    a57-power-negative a60-chained-division a62-togliatti f10-free-one f11-free-product""".split()
LONG = {
    "a megabyte of x+": "x+" * 500_000 + "x = z",
    "a megabyte of letters": "x" * 1_000_000,
    "a megabyte of digits": "1" * 1_000_000 + "x = z",
    "a hundred thousand brackets": "(" * 100_000 + "x" + ")" * 100_000 + " = z",
    "a megabyte of bars": "|" * 1_000_000,
    "a megabyte of blanks": " " * 1_000_000,
    "a megabyte of line ends": "x\n" * 500_000,
    "a megabyte of backslashes": "\\" * 1_000_000,
    "every control character": "".join(map(chr, range(1, 32))) + "x = z",
}


class Program:
    """`ogee read`, one process a text: a reading takes a few milliseconds."""

    def __init__(self, path):
        self.path = path

    def read(self, text, given=(), places=()):
        """The JSON object of the answer, with the exit status and the seconds it took under `_`."""
        command = [self.path, "read", "-", "--json"]
        for name, value in dict(given).items():
            command += ["--let", f"{name}={value!r}"]
        for place in places:
            command += ["--at=" + ",".join(repr(c) for c in place)]
        began = time.monotonic()
        try:
            done = subprocess.run(command, input=text.encode(), capture_output=True, timeout=SECONDS)
        except subprocess.TimeoutExpired:
            return {"_": {"status": None, "seconds": SECONDS, "said": "no answer"}}
        seconds = time.monotonic() - began
        said = done.stderr.decode(errors="replace")
        try:
            answer = json.loads(done.stdout)
        except ValueError:
            answer = {}
        if not isinstance(answer, dict):
            answer = {}
        answer["_"] = {"status": done.returncode, "seconds": seconds, "said": said}
        return answer


def near(got, want):
    if isinstance(want, list):
        return isinstance(got, list) and len(got) == len(want) and all(map(near, got, want))
    return isinstance(got, (int, float)) and math.isfinite(got) and abs(got - want) <= RELATIVE * max(1.0, abs(want))


def agree(got, want, either_sign):
    """All values agree; with `either_sign`, one change of sign common to all is no error."""
    if not isinstance(got, list) or len(got) != len(want):
        return False
    if all(map(near, got, want)):
        return True
    return either_sign and all(near(g, -w) for g, w in zip(got, want))


def refused(answer):
    """A fault with words in it, and exit status 2."""
    error = answer.get("error")
    return isinstance(error, dict) and bool(str(error.get("what", "")).strip()) and answer["_"]["status"] == 2


def crashed(answer):
    """Died of a signal, panicked, or gave no answer in time."""
    status = answer["_"]["status"]
    return status is None or status < 0 or status not in (0, 1, 2) or "panicked" in answer["_"]["said"]


def judge_reject(entry, answer):
    limits = entry.get("limits", {})
    if answer["_"]["seconds"] > max(2.0, limits.get("seconds", 2.0)):
        return f"took {answer['_']['seconds']:.1f} s"
    if refused(answer):
        message = json.dumps(answer["error"], ensure_ascii=False).casefold()
        missing = [m for m in entry.get("mentions", []) if m.casefold() not in message]
        if missing and "also_ok" not in entry:
            return f"refused without naming {missing}: {answer['error']}"
        return None
    # A reading instead of a refusal is right only where the entry allows one, and says whether words must go with it.
    also = entry.get("also_ok", "")
    if not also.startswith(("reading", "offering")):
        return f"read as {answer.get('normal')!r} instead of refused ({entry['error']})"
    if also.startswith("offering"):
        free = answer.get("free") or []
        missing = [m for m in entry.get("mentions", []) if m not in free]
        return f"free names {free}, without {missing}" if missing else None
    if "saying so" in also and not answer.get("remarks"):
        return f"read as {answer.get('normal')!r} without saying so"
    return None if answer.get("kind") else "neither read nor refused"


def judge(entry, answer):
    """What is wrong with the answer, or None."""
    if crashed(answer):
        return f"crashed: status {answer['_']['status']}, {answer['_']['said'][:200]}"
    if entry["kind"] == "reject":
        return judge_reject(entry, answer)
    lenient = entry.get("may_reject") or entry.get("also_ok")
    if "error" in answer:
        return None if lenient and refused(answer) else f"refused: {answer['error']}"
    if answer.get("kind") != entry["kind"]:
        return None if lenient and answer.get("free") else f"a {answer.get('kind')}, wanted a {entry['kind']}"
    if entry["kind"] == "field":
        wanted = RELATIONS.get(entry["rel"])
        # An alternative reading, compared below, may stand in another relation.
        if wanted and answer.get("relation") not in wanted and not entry.get("alternatives"):
            return f"relation {answer.get('relation')!r}, wanted {sorted(wanted)}"
    told = answer.get("ranges") or {}
    for name, ends in entry.get("ranges", {}).items():
        if name in told and not near(told[name], ends):
            return f"range {name} = {told[name]}, wanted {ends}"
    either = entry.get("rel") == "="
    got = answer.get("values")
    if agree(got, entry["values"], either):
        return None
    for other in entry.get("alternatives", []):
        if agree(got, other["values"], either):
            return None if answer.get("remarks") else f"read as {other['reading']} without saying so"
    if lenient and answer.get("free"):
        return None
    return f"values {str(got)[:120]}, wanted {str(entry['values'])[:120]}; free {answer.get('free')}, normal {str(answer.get('normal'))[:120]!r}"


def judge_normal(entry, answer, program):
    """The normal form must read back to the values that the text gave."""
    normal, got = answer.get("normal"), answer.get("values")
    if not isinstance(normal, str) or not normal:
        return "no normal form"
    again = program.read(normal, entry["vars"], entry["points"])
    if not agree(again.get("values"), got, entry.get("rel") == "="):
        return f"normal form {normal[:200]!r} reads back as {str(again.get('values') or again.get('error'))[:160]}"
    return None


def try_entry(program, entry):
    answer = program.read(entry["text"], entry["vars"], entry["points"])
    wrong = judge(entry, answer)
    if wrong is None and answer.get("values") and entry["kind"] != "reject":
        wrong = judge_normal(entry, answer, program)
    return entry["id"], wrong, answer


def by_sympy(entry, tex):
    """Values by sympy's own reading of the text; None where it refuses."""
    text = entry["text"].strip().strip("$")
    if tex:
        read = parse_latex(text)
    else:
        rules = standard_transformations + (implicit_multiplication_application, convert_xor, split_symbols)
        names = {n: sympy.Symbol(n) for n in ["x", "y", "z", *entry["vars"]]}
        sides = [parse_expr(p, transformations=rules, local_dict=names) for p in text.split("=")]
        read = sides[0] - sides[1] if len(sides) == 2 else sides[0]
    if isinstance(read, sympy.Eq):
        read = read.lhs - read.rhs
    values = []
    for place in entry["points"]:
        known = dict(zip("xyz", place)) | entry["vars"] | {"e": sympy.E, "pi": sympy.pi}
        put = {s: known[s.name] for s in read.free_symbols if s.name in known}
        values.append(float(sympy.re(read.subs(put).evalf())))
    return values


def check_sympy(entries, answers):
    """Failures of the comparison with sympy, and how many formulas it covered."""
    wrong, count = [], 0
    for names, tex in ((BY_TEX, True), (BY_PLAIN, False)):
        for name in names:
            if name not in answers:
                continue
            want = by_sympy(entries[name], tex)
            count += 1
            if not agree(answers[name].get("values"), want, entries[name]["rel"] == "="):
                wrong.append(f"{name}: sympy gives {want[:3]}, the program {str(answers[name].get('values'))[:100]}")
    return wrong, count


def check_long(program):
    """Long texts: a clear fault or an answer, quickly and without a crash."""
    for name, text in LONG.items():
        answer = program.read(text)
        if crashed(answer):
            yield f"{name}: status {answer['_']['status']}, {answer['_']['said'][:120]}"
        elif answer["_"]["seconds"] > 2.0:
            yield f"{name}: took {answer['_']['seconds']:.1f} s"
        elif not refused(answer) and not answer.get("kind"):
            yield f"{name}: neither read nor refused"


def find_program(argument):
    """The program given, or the newest one in a target folder."""
    path = pathlib.Path(argument)
    if path.is_file():
        return str(path.resolve())
    suffix = ".exe" if os.name == "nt" else ""
    built = [p for p in (path / kind / f"ogee{suffix}" for kind in ("debug", "release")) if p.is_file()]
    if not built:
        sys.exit(f"no program in {path}: build it first")
    return str(max(built, key=lambda p: p.stat().st_mtime).resolve())


def main():
    arguments = [a for a in sys.argv[1:] if not a.startswith("--")]
    program = Program(find_program(arguments[0]))
    entries = {}
    for file in sorted(DATA.glob("formulas*.jsonl")):
        for line in file.read_text(encoding="utf-8").splitlines():
            entry = json.loads(line)
            entries[entry["id"]] = entry
    if len(arguments) > 1:
        entries = {k: v for k, v in entries.items() if any(k.startswith(a) for a in arguments[1:])}
    wrong = []
    if len(arguments) == 1:
        done = subprocess.run([sys.executable, str(HERE / "corpus.py"), "--check"], capture_output=True, text=True)
        if done.returncode:
            wrong.append("the corpus: " + done.stdout.strip())
    began = time.monotonic()
    with concurrent.futures.ThreadPoolExecutor(max_workers=os.cpu_count()) as pool:
        results = list(pool.map(lambda e: try_entry(program, e), entries.values()))
    answers = {name: answer for name, _, answer in results}
    misread = [f"{name}: {fault}" for name, fault, _ in results if fault]
    print(f"{len(results) - len(misread)} of {len(results)} texts read as meant, {time.monotonic() - began:.1f} s")
    disagree, count = check_sympy(entries, answers)
    print(f"{count - len(disagree)} of {count} formulas agree with sympy")
    wrong += misread + disagree
    if len(arguments) == 1:
        wrong += list(check_long(program))
    for line in wrong:
        print("FAIL", line)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())

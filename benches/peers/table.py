"""Times Ogee and the peers beside each other, in one run on two cores, and tells it in tables.

    --only CASE      that case alone; repeat for more
    --peers-only     without our side
    --book           write the book's page: page.md with the tables in it
    --render         tell the last run's numbers again, without running

Numbers are kept in the target folder's peers/numbers.json, tables in peers/tables.md.
"""

import argparse
import datetime
import importlib.metadata
import json
import math
import os
import platform

import cases
import sides

PAGE = sides.ROOT / "book/src/peers.md"
PLACE = "<!-- the tables -->"
FULL, TWICE, SMALL = 256, 512, 64


# Measuring.


def machine():
    name = platform.processor() or platform.machine()
    if os.path.exists("/proc/cpuinfo"):
        lines = open("/proc/cpuinfo").read().splitlines()
        name = next((line.split(":")[1].strip() for line in lines if line.startswith("model name")), name)
    versions = {kit: importlib.metadata.version(kit) for kit in ("numpy", "scikit-image", "numba", "vtk")}
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else None
    today = datetime.datetime.now(datetime.timezone.utc).date().isoformat()
    return {"processor": name, "day": today, "versions": versions, "load": load, "python": platform.python_version()}


def measure_case(case, kernel, program):
    name, side = case["name"], case["box"][1] - case["box"][0]
    row = {"cell": side / FULL}
    row["plain"] = sides.peer("plain", name, FULL, 3, accurate=True)
    row["expert"] = sides.peer("expert", name, FULL, 3, accurate=True)
    row["plain_small"] = sides.peer("plain", name, SMALL, 10)
    row["expert_small"] = sides.peer("expert", name, SMALL, 10)
    row["expert_twice"] = sides.peer("expert", name, TWICE, 1)
    if "centres" in case:
        row["expert_near"] = sides.peer("expert", name, FULL, 3, extra={"PEERS_NEAR": "1"})
    if kernel:
        row["ours"] = sides.ours(kernel, name, ("--cells", FULL), 3, accurate=True)
        row["ours_small"] = sides.ours(kernel, name, ("--cells", SMALL), 10)
        row["ours_twice"] = sides.ours(kernel, name, ("--cells", TWICE), 3)
        wanted = row["expert"]["p99"]
        row["ours_accurate"] = sides.as_accurate(kernel, name, wanted, FULL)
    if program and "formula" in case:
        row["picture"] = sides.first_picture(program, f"{case['formula']} < 0")
    return row


def measure_all(asked):
    sides.settle()
    kernel, program = (None, None) if asked.peers_only else sides.build()
    numbers = {"machine": machine(), "write_speed": sides.speed_of_memory(), "cases": {}}
    for name, case in cases.load().items():
        if not asked.only or name in asked.only:
            print(f"-- {name}", flush=True)
            numbers["cases"][name] = measure_case(case, kernel, program)
    return numbers


# Telling.


def seconds(value):
    return f"{value:.2f}" if value >= 10 else f"{value:.3f}"


def ms(value):
    return "refused" if value == math.inf else f"{1000 * value:.1f}"


def times(value):
    return f"{value:.2f}" if value < 1 else f"{value:.1f}" if value < 10 else f"{value:.0f}"


def small(value):
    return f"{value:.2e}".replace("e-0", "e-")


def thousands(value):
    return f"{value:,}".replace(",", " ")


def cell(row, *path, form):
    """A number of a row as text, or a dash where it was not measured."""
    for key in path:
        row = (row or {}).get(key)
    return "-" if row is None else form(row)


def ratio(row, above, below, key="seconds"):
    above, below = row.get(above), row.get(below)
    return above[key] / below[key] if above and below and below[key] else None


def shown(value, form=times):
    return "-" if value is None else form(value)


def markdown(title, note, head, rows):
    lines = [f"### {title}", "", note, "", "| " + " | ".join(head) + " |"]
    lines.append("| --- " + "| ---: " * (len(head) - 1) + "|")
    lines += ["| " + " | ".join(row) + " |" for row in rows]
    return "\n".join(lines) + "\n"


def equal_cells(rows):
    body = []
    for title, row in rows:
        split = [cell(row, "expert", "stages", stage, form=seconds) for stage in ("sampling", "extracting")]
        body.append([
            title,
            cell(row, "plain", "seconds", form=seconds),
            f"{cell(row, 'expert', 'seconds', form=seconds)} = {split[0]} + {split[1]}",
            cell(row, "ours", "seconds", form=seconds),
            shown(ratio(row, "plain", "ours")),
            shown(ratio(row, "expert", "ours")),
        ])
    note = f"Seconds, {FULL} cells along each side of the box. The expert's are sampling + extracting."
    head = ["case", "plain", "expert", "Ogee", "plain / Ogee", "expert / Ogee"]
    return markdown("At equal cell size", note, head, body)


def meshes(rows):
    whom = ("plain", "expert", "ours")
    body = [
        [title, *(cell(row, who, "triangles", form=thousands) for who in whom)]
        + [cell(row, who, "p99", form=small) for who in whom]
        + [cell(row, who, "max", form=small) for who in whom]
        for title, row in rows
    ]
    note = (
        "The meshes of the table above: triangles, and the distance of 200 000 places on the mesh to the exact surface, "
        "in the unit of the box: 99th percentile, and greatest."
    )
    names = ("plain", "expert", "Ogee")
    head = ["case", *names, *(f"p99 {name}" for name in names), *(f"max {name}" for name in names)]
    return markdown("What the meshes are like", note, head, body)


def equal_accuracy(rows):
    body = []
    for title, row in rows:
        body.append([
            title,
            cell(row, "expert", "p99", form=small),
            cell(row, "ours_accurate", "p99", form=small),
            cell(row, "expert", "seconds", form=seconds),
            cell(row, "ours_accurate", "seconds", form=seconds),
            shown(ratio(row, "expert", "ours_accurate")),
            cell(row, "expert", "triangles", form=thousands),
            cell(row, "ours_accurate", "triangles", form=thousands),
            cell(row, "ours_accurate", "cells", form=str),
        ])
    note = (
        f"Ogee with the fewest cells found whose 99th percentile is no more than the expert's at {FULL} cells: seconds "
        "and triangles."
    )
    head = ["case", "p99 expert", "p99 Ogee", "expert", "Ogee", "expert / Ogee", "triangles expert", "triangles Ogee"]
    return markdown("At equal accuracy", note, [*head, "cells"], body)


def growth(rows):
    body = []
    for title, row in rows:
        body.append([
            title,
            cell(row, "ours", "seconds", form=seconds),
            cell(row, "ours_twice", "seconds", form=seconds),
            shown(ratio(row, "ours_twice", "ours")),
            shown(ratio(row, "expert_twice", "expert")),
            cell(row, "ours", "peak_mb", form="{:.0f}".format),
            cell(row, "ours_twice", "peak_mb", form="{:.0f}".format),
            cell(row, "expert_twice", "peak_mb", form="{:.0f}".format),
        ])
    note = (
        f"From {FULL} to {TWICE} cells a side: 4 is growth like the surface, 8 like the volume. Memory is the most that the "
        "whole process held, in MB; the expert's holds its libraries too, about 150 MB."
    )
    head = ["case", f"Ogee {FULL}", f"Ogee {TWICE}", "growth", "growth, expert", f"MB {FULL}", f"MB {TWICE}"]
    return markdown("Growth and memory", note, [*head, f"MB {TWICE}, expert"], body)


def preview(rows):
    body = []
    for title, row in rows:
        fast = [cell(row, f"{who}_small", "seconds", form=ms) for who in ("plain", "expert", "ours")]
        body.append([title, *fast, cell(row, "picture", "terminal", form=ms), cell(row, "picture", "disk", form=ms)])
    note = (
        f"Milliseconds at {SMALL} cells a side; and from the start of the program `ogee see FORMULA` to its picture in a "
        "terminal of 100 columns, and with `-o PNG` to that on disk, of 1000 pixels."
    )
    return markdown("Preview", note, ["case", "plain", "expert", "Ogee", "in a terminal", "on disk"], body)


def floor(row, write_speed):
    """The least that a run could cost: each needed value at the expert's price, each byte of the mesh written once."""
    ours = row.get("ours") or {}
    if "samples" not in ours:
        return None
    price = row["expert"]["stages"]["sampling"] / (FULL + 1) ** 3
    return ours["samples"] * price + (24 * ours["vertices"] + 12 * ours["triangles"]) / write_speed


def shares(rows, write_speed):
    names = []
    for _, row in rows:
        for name in (row.get("ours") or {}).get("stages", {}):
            if name not in names:
                names.append(name)
    body = []
    for title, row in rows:
        stages = (row.get("ours") or {}).get("stages", {})
        whole = sum(stages.values()) or 1
        told = [f"{100 * stages[name] / whole:.0f} %" if name in stages else "-" for name in names]
        body.append([title, *told, cell(row, "ours", "seconds", form=seconds), shown(floor(row, write_speed), seconds)])
    note = (
        f"Shares of Ogee's time at {FULL} cells, beside a floor in seconds: each value of the field that was needed, at what "
        "one costs in the expert's compiled loop, and each byte of the mesh (24 a point, 12 a triangle) written once at "
        f"{write_speed / 1e9:.1f} GB/s."
    )
    return markdown("Where the time goes", note, ["case", *names, "whole", "floor"], body)


def asked(rows):
    """What the project asks of itself, and the case that comes out worst."""

    def worst(what, wanted, values, least=True, form=times):
        known = [(value, title) for title, value in values if value is not None]
        if not known:
            return [what, wanted[0], "-", "-", "not measured"]
        value, title = min(known) if least else max(known)
        met = value >= wanted[1] if least else value <= wanted[1]
        return [what, wanted[0], form(value), title, "yes" if met else "no"]

    empty = [(t, r) for t, r in rows if r["name"] in ("block", "barth", "gaussians")]
    gyroid = [(t, r) for t, r in rows if r["name"] == "gyroid"]

    def each(of, above, below, key="seconds"):
        return [(title, ratio(row, above, below, key)) for title, row in of]

    def of_side(of, who, key):
        return [(title, row[who][key] if row.get(who) else None) for title, row in of]

    pictures = [(title, row.get("picture", {}).get("terminal")) for title, row in rows]
    body = [
        worst("plain / Ogee, equal cells", ("10 or more", 10), each(rows, "plain", "ours")),
        worst("expert / Ogee, equal cells", ("1 or more", 1), each(rows, "expert", "ours")),
        worst("expert / Ogee, mostly empty boxes", ("3 or more", 3), each(empty, "expert", "ours")),
        worst("expert / Ogee, equal accuracy", ("3 or more", 3), each(rows, "expert", "ours_accurate")),
        worst(
            "triangles, expert / Ogee, equal accuracy",
            ("1 or more", 1),
            each(rows, "expert", "ours_accurate", "triangles"),
        ),
        worst(f"time, {TWICE} / {FULL}", ("under 5", 5), each(rows, "ours_twice", "ours"), least=False),
        worst(f"MB, gyroid, {TWICE}", ("under 600", 600), of_side(gyroid, "ours_twice", "peak_mb"), False, "{:.0f}".format),
        worst(f"ms, {SMALL}", ("under 30", 0.03), of_side(rows, "ours_small", "seconds"), False, ms),
        worst("ms to the first picture, in a terminal", ("under 300", 0.3), pictures, False, ms),
    ]
    return markdown("Asked and found", "The worst case of each.", ["what", "asked", "found", "case", "met"], body)


def near_note(rows):
    for _, row in rows:
        if "expert_near" in row:
            return (
                "An expert who also leaves out the terms of the gaussians' sum that are under a millionth, which is no longer "
                f"the formula as given, needs {seconds(row['expert_near']['seconds'])} s for them at {FULL} cells.\n"
            )
    return ""


def told(numbers):
    titles = {name: case["title"] for name, case in cases.load().items()}
    rows = [(titles[name], {"name": name, **row}) for name, row in numbers["cases"].items()]
    box = numbers["machine"]
    kits = ", ".join(f"{kit} {version}" for kit, version in box["versions"].items())
    load = f", {box['load']:.1f} other programs busy at the start" if box["load"] is not None else ""
    head = f"Measured on {box['day']}: {box['processor']}, {sides.CORES} cores{load}; Python {box['python']}, {kits}.\n"
    tables = [head, equal_cells(rows), near_note(rows), meshes(rows), equal_accuracy(rows), growth(rows), preview(rows)]
    tables += [shares(rows, numbers["write_speed"]), asked(rows)]
    return "\n".join(table for table in tables if table)


def write_page(text):
    before, after = (sides.HERE / "page.md").read_text().split(PLACE)
    PAGE.write_text(before + text + after)


def main():
    reader = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    reader.add_argument("--only", action="append", metavar="CASE", choices=list(cases.load()))
    reader.add_argument("--peers-only", action="store_true")
    reader.add_argument("--book", action="store_true")
    reader.add_argument("--render", action="store_true")
    line = reader.parse_args()
    kept = sides.WORK / "numbers.json"
    if line.render:
        numbers = json.loads(kept.read_text())
    else:
        numbers = measure_all(line)
        kept.write_text(json.dumps(numbers, indent=1))
    text = told(numbers)
    (sides.WORK / "tables.md").write_text(text)
    if line.book:
        write_page(text)
    print(text)


if __name__ == "__main__":
    main()

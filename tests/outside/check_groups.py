"""Every space group of our own reader, motion by motion, against two crystallographic libraries.

Usage: check_groups.py TARGET_FOLDER. `cargo test` leaves `groups.txt` in the tmp folder: a line for each listed setting,
"number|Hall symbol|Hermann-Mauguin symbol|motion;motion;…", each motion as nine whole numbers and a shift in 24ths.

Truth: gemmi expands the same Hall symbol; spglib holds its own table of 530 settings and is asked for those with the same
Hall symbol; and the counts of International Tables for Crystallography A: 230 types, 65 Sohncke, 92 with an inversion,
73 symmorphic.
"""

import pathlib
import sys

import gemmi
import spglib

from verdict import check, finish

PARTS = 24


def read(path):
    for line in path.read_text().splitlines():
        number, hall, symbol, motions = line.split("|")
        yield int(number), hall, symbol, {tuple(int(k) for k in m.split()) for m in motions.split(";")}


def by_gemmi(hall):
    ops = gemmi.symops_from_hall(hall)
    return {
        tuple(k // gemmi.Op.DEN for row in op.rot for k in row) + tuple(t * PARTS // gemmi.Op.DEN % PARTS for t in op.tran)
        for op in ops
    }


def by_spglib():
    """Motions of each setting by its Hall symbol, as spglib writes it."""
    found = {}
    for number in range(1, 531):
        kind = spglib.get_spacegroup_type(number)
        symmetry = spglib.get_symmetry_from_database(number)
        motions = {
            tuple(int(k) for row in r for k in row) + tuple(round(t * PARTS) % PARTS for t in shift)
            for r, shift in zip(symmetry["rotations"], symmetry["translations"])
        }
        found[kind.hall_symbol] = (kind.number, motions)
    return found


def main():
    path = next(pathlib.Path(sys.argv[1]).rglob("groups.txt"))
    database = by_spglib()
    usual, twice = {}, 0
    for number, hall, symbol, motions in read(path):
        check(f"{symbol}: gemmi", motions == by_gemmi(hall), len(motions))
        known = gemmi.find_spacegroup_by_ops(gemmi.symops_from_hall(hall))
        check(f"{symbol}: number", known is not None and known.number == number)
        if hall in database:
            twice += 1
            check(f"{symbol}: spglib", database[hall] == (number, motions), len(motions))
        usual.setdefault(number, motions)
    check("230 types", sorted(usual) == list(range(1, 231)), len(usual))
    check("spglib knows most settings", twice > 400, twice)

    def proper(m):
        a, b, c, d, e, f, g, h, i = m[:9]
        return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g) == 1

    inversion = (-1, 0, 0, 0, -1, 0, 0, 0, -1)
    check("65 Sohncke types", sum(all(map(proper, ms)) for ms in usual.values()) == 65)
    check("92 centrosymmetric types", sum(any(m[:9] == inversion for m in ms) for ms in usual.values()) == 92)
    # In the tables' own setting the origin of a symmorphic type is a place of full point symmetry: no motion need shift.
    unshifted = (all((*m[:9], 0, 0, 0) in motions for m in motions) for motions in usual.values())
    check("73 symmorphic types", sum(unshifted) == 73)
    print(f"{twice} settings also by spglib")
    finish("groups")


main()

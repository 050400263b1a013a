//! DXF of the year 2000 (AC1015), text: LWPOLYLINE with bulges, a layer for each of ours, $INSUNITS 4 (mm).
//!
//! Source: the group codes of the published DXF reference; bulge = tan(angle/4), positive counter-clockwise, y up. Many
//! machines refuse splines, so curves are told by arcs.

use std::fmt::Write as _;

use super::super::Meta;
use super::super::text::{comment_lines, program, push_mm};
use super::in_order;
use crate::form::flat::{Flat, Meaning, Path, Segment, arcs};

/// How far arcs may lie from a curve, mm.
const CURVE: f64 = 0.002;

/// Handles of the fixed parts; entities count on from the last.
const LAST_FIXED: u32 = 0x2f;

struct Writer {
    out: String,
    handle: u32,
}

impl Writer {
    fn text(&mut self, code: u32, text: &str) {
        // Writing into a text cannot fail.
        let _ = write!(self.out, "{code}\n{text}\n");
    }

    fn number(&mut self, code: u32, value: f64) {
        let _ = writeln!(self.out, "{code}");
        push_mm(&mut self.out, value);
        self.out.push('\n');
    }

    /// Bulges need more digits than lengths.
    fn bulge(&mut self, value: f64) {
        let _ = write!(self.out, "42\n{value:.12}\n");
    }

    fn all(&mut self, pairs: &[(u32, &str)]) {
        for (code, text) in pairs {
            self.text(*code, text);
        }
    }

    fn next(&mut self) -> String {
        self.handle += 1;
        format!("{:X}", self.handle)
    }
}

/// The file.
pub(super) fn bytes(flat: &Flat, meta: &Meta) -> Vec<u8> {
    let mut w = Writer { out: String::new(), handle: LAST_FIXED };
    for line in std::iter::once(program()).chain(comment_lines(meta)) {
        w.text(999, &line);
    }
    let layers: Vec<(String, Meaning)> = in_order(flat).iter().map(|l| (name(&l.name), l.meaning)).collect();
    header(&mut w, flat);
    tables(&mut w, &layers);
    blocks(&mut w);
    w.all(&[(0, "SECTION"), (2, "ENTITIES")]);
    for layer in in_order(flat) {
        let name = name(&layer.name);
        // Inner cuts first, so that a part stays held until it is done: what lies within is smaller.
        let mut loops: Vec<&Path> = layer.loops.iter().collect();
        loops.sort_by(|a, b| a.area().abs().total_cmp(&b.area().abs()));
        for path in layer.lines.iter().chain(loops) {
            polyline(&mut w, path, &name);
        }
    }
    w.all(&[(0, "ENDSEC"), (0, "SECTION"), (2, "OBJECTS")]);
    w.all(&[
        (0, "DICTIONARY"),
        (5, "C"),
        (330, "0"),
        (100, "AcDbDictionary"),
        (281, "1"),
        (3, "ACAD_GROUP"),
        (350, "D"),
    ]);
    w.all(&[
        (0, "DICTIONARY"),
        (5, "D"),
        (330, "C"),
        (100, "AcDbDictionary"),
        (281, "1"),
        (0, "ENDSEC"),
        (0, "EOF"),
    ]);
    w.out.into_bytes()
}

/// A layer's name as the format allows it: no signs that it forbids, ASCII.
fn name(name: &str) -> String {
    let fits = |c: char| if c.is_ascii_alphanumeric() || "-_ ".contains(c) { c } else { '_' };
    name.chars().map(fits).collect()
}

fn header(w: &mut Writer, flat: &Flat) {
    let b = flat.bounds();
    w.all(&[(0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1015"), (9, "$INSUNITS"), (70, "4")]);
    w.all(&[(9, "$MEASUREMENT"), (70, "1"), (9, "$HANDSEED"), (5, "FFFFFF")]);
    for (variable, corner) in [("$EXTMIN", b.min), ("$EXTMAX", b.max)] {
        w.text(9, variable);
        w.number(10, corner.x);
        w.number(20, corner.y);
        w.number(30, 0.0);
    }
    w.all(&[(0, "ENDSEC")]);
}

fn table(w: &mut Writer, name: &str, handle: &str, count: usize) {
    w.all(&[(0, "TABLE"), (2, name), (5, handle), (330, "0"), (100, "AcDbSymbolTable")]);
    w.text(70, &count.to_string());
}

/// The colour numbers of the format: white for cuts, yellow for scores, blue for drawing, grey for engraving.
fn colour(meaning: Meaning) -> &'static str {
    match meaning {
        Meaning::Cut => "7",
        Meaning::Score => "2",
        Meaning::Draw => "5",
        Meaning::Engrave => "8",
    }
}

fn tables(w: &mut Writer, layers: &[(String, Meaning)]) {
    w.all(&[(0, "SECTION"), (2, "TABLES")]);
    table(w, "VPORT", "8", 0);
    w.text(0, "ENDTAB");
    table(w, "LTYPE", "5", 3);
    for (handle, kind) in [("14", "BYBLOCK"), ("15", "BYLAYER"), ("16", "CONTINUOUS")] {
        w.all(&[
            (0, "LTYPE"),
            (5, handle),
            (330, "5"),
            (100, "AcDbSymbolTableRecord"),
            (100, "AcDbLinetypeTableRecord"),
        ]);
        w.all(&[(2, kind), (70, "0"), (3, ""), (72, "65"), (73, "0"), (40, "0.0")]);
    }
    w.text(0, "ENDTAB");
    table(w, "LAYER", "2", layers.len() + 1);
    let first = ("0".to_owned(), Meaning::Cut);
    for (name, meaning) in std::iter::once(&first).chain(layers) {
        let handle = if name == "0" { "10".to_owned() } else { w.next() };
        w.all(&[
            (0, "LAYER"),
            (5, &handle),
            (330, "2"),
            (100, "AcDbSymbolTableRecord"),
            (100, "AcDbLayerTableRecord"),
        ]);
        w.all(&[(2, name), (70, "0"), (62, colour(*meaning)), (6, "CONTINUOUS"), (370, "-3"), (390, "F")]);
    }
    w.text(0, "ENDTAB");
    table(w, "STYLE", "3", 0);
    w.text(0, "ENDTAB");
    table(w, "VIEW", "6", 0);
    w.text(0, "ENDTAB");
    table(w, "UCS", "7", 0);
    w.text(0, "ENDTAB");
    table(w, "APPID", "9", 1);
    w.all(&[
        (0, "APPID"),
        (5, "12"),
        (330, "9"),
        (100, "AcDbSymbolTableRecord"),
        (100, "AcDbRegAppTableRecord"),
        (2, "ACAD"),
        (70, "0"),
    ]);
    w.text(0, "ENDTAB");
    table(w, "DIMSTYLE", "A", 0);
    w.all(&[(100, "AcDbDimStyleTable"), (71, "0"), (0, "ENDTAB")]);
    table(w, "BLOCK_RECORD", "1", 2);
    for (handle, name) in [("1F", "*Model_Space"), ("1B", "*Paper_Space")] {
        w.all(&[(0, "BLOCK_RECORD"), (5, handle), (330, "1"), (100, "AcDbSymbolTableRecord")]);
        w.all(&[(100, "AcDbBlockTableRecord"), (2, name), (340, "0")]);
    }
    w.all(&[(0, "ENDTAB"), (0, "ENDSEC")]);
}

fn blocks(w: &mut Writer) {
    w.all(&[(0, "SECTION"), (2, "BLOCKS")]);
    for (begin, end, owner, name) in [("20", "21", "1F", "*Model_Space"), ("1C", "1D", "1B", "*Paper_Space")]
    {
        w.all(&[
            (0, "BLOCK"),
            (5, begin),
            (330, owner),
            (100, "AcDbEntity"),
            (8, "0"),
            (100, "AcDbBlockBegin"),
        ]);
        w.all(&[(2, name), (70, "0"), (10, "0"), (20, "0"), (30, "0"), (3, name), (1, "")]);
        w.all(&[(0, "ENDBLK"), (5, end), (330, owner), (100, "AcDbEntity"), (8, "0"), (100, "AcDbBlockEnd")]);
    }
    w.text(0, "ENDSEC");
}

fn polyline(w: &mut Writer, path: &Path, layer: &str) {
    let pieces: Vec<Segment> = path.pieces.iter().flat_map(|s| arcs(s, CURVE)).collect();
    let handle = w.next();
    w.all(&[
        (0, "LWPOLYLINE"),
        (5, &handle),
        (330, "1F"),
        (100, "AcDbEntity"),
        (8, layer),
        (100, "AcDbPolyline"),
    ]);
    w.text(90, &(pieces.len() + usize::from(!path.closed)).to_string());
    w.text(70, if path.closed { "1" } else { "0" });
    for piece in &pieces {
        w.number(10, piece.start().x);
        w.number(20, piece.start().y);
        if let Segment::Arc(_, _, bulge) = piece {
            w.bulge(*bulge);
        }
    }
    if !path.closed {
        w.number(10, path.end().x);
        w.number(20, path.end().y);
    }
}

//! PDF 1.5 at true size, over as many A4 pages as it needs: each page shows a window on the work, next windows overlap,
//! and dotted lines show where to trim and lay the next page. Every page has a ruler of 100 mm to measure the print with.
//! Layers are optional contents of the file, by name. Arcs are told by cubics within 4e-7 of their radius.
//!
//! Source: ISO 32000-1, sections 7 (objects, file), 8 (graphics, optional content), 9 (text).

use std::fmt::Write as _;

use super::super::Meta;
use super::super::text::{one_line, program, push_mm};
use super::{close_bounds, in_order};
use crate::base::Vec2;
use crate::form::flat::{Flat, Layer, Meaning, Path, Segment};

/// One mm in the file's points.
const POINT: f64 = 72.0 / 25.4;
/// A4, its free border, the strip at the foot for ruler and caption, and how far windows overlap, mm.
const PAPER: (f64, f64) = (210.0, 297.0);
const BORDER: f64 = 10.0;
const FOOT: f64 = 14.0;
const OVERLAP: f64 = 10.0;
/// Most pages.
pub(super) const PAGES: usize = 400;
/// Width of lines, mm.
const HAIRLINE: f64 = 0.1;

/// How windows lie on the work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Plan {
    /// The page, mm.
    paper: (f64, f64),
    /// The window, mm.
    window: (f64, f64),
    columns: usize,
    rows: usize,
}

impl Plan {
    pub(super) fn pages(&self) -> usize {
        self.columns.saturating_mul(self.rows)
    }
}

/// Upright or lying pages, whichever are fewer.
pub(super) fn plan(size: Vec2) -> Plan {
    let lay = |paper: (f64, f64)| {
        let window = (paper.0 - 2.0 * BORDER, paper.1 - 2.0 * BORDER - FOOT);
        let count = |long: f64, window: f64| {
            ((long - OVERLAP - 1e-6) / (window - OVERLAP)).ceil().clamp(1.0, 1e6) as usize
        };
        Plan { paper, window, columns: count(size.x, window.0), rows: count(size.y, window.1) }
    };
    let (upright, lying) = (lay(PAPER), lay((PAPER.1, PAPER.0)));
    if lying.pages() < upright.pages() { lying } else { upright }
}

/// The file.
pub(super) fn bytes(flat: &Flat, meta: &Meta) -> Vec<u8> {
    let (low, high) = close_bounds(flat);
    let plan = plan(high - low);
    let layers = in_order(flat);
    let mut file = File { out: b"%PDF-1.5\n%\xe2\xe3\xcf\xd3\n".to_vec(), places: Vec::new() };
    let first_page = 4 + layers.len();
    let pages = plan.pages();
    let groups: Vec<String> = (0..layers.len()).map(|i| format!("{} 0 R", 4 + i)).collect();
    let groups = groups.join(" ");
    file.object(&format!(
        "<< /Type /Catalog /Pages 2 0 R /OCProperties << /OCGs [{groups}] /D << /Order [{groups}] /ON [{groups}] >> >> \
         /ViewerPreferences << /PrintScaling /None >> >>"
    ));
    let kids: Vec<String> = (0..pages).map(|i| format!("{} 0 R", first_page + 2 * i)).collect();
    file.object(&format!("<< /Type /Pages /Count {pages} /Kids [{}] >>", kids.join(" ")));
    let told = [
        ("Title", &meta.title),
        ("Author", &meta.maker),
        ("Subject", &meta.sentence),
        ("Keywords", &meta.licence),
    ];
    let mut info = format!("<< /Creator {}", text(&program()));
    for (name, what) in told.iter().filter(|(_, t)| !t.trim().is_empty()) {
        let _ = write!(info, " /{name} {}", text(&one_line(what)));
    }
    file.object(&format!("{info} >>"));
    for layer in &layers {
        file.object(&format!("<< /Type /OCG /Name {} >>", text(&layer.name)));
    }
    let names: Vec<String> = (0..layers.len()).map(|i| format!("/L{i} {} 0 R", 4 + i)).collect();
    for i in 0..pages {
        let (column, row) = (i % plan.columns, i / plan.columns);
        let content = page(&layers, meta, &plan, (column, row), low);
        let [x, y, right, top] =
            [BORDER, BORDER + FOOT, BORDER + plan.window.0, BORDER + FOOT + plan.window.1]
                .map(|mm| number(mm * POINT));
        file.object(&format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {} {}] /ArtBox [{x} {y} {right} {top}] /Contents {} 0 R \
             /Resources << /Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >> >> \
             /Properties << {} >> >> >>",
            number(plan.paper.0 * POINT),
            number(plan.paper.1 * POINT),
            first_page + 2 * i + 1,
            names.join(" ")
        ));
        file.object(&format!("<< /Length {} >>\nstream\n{content}\nendstream", content.len()));
    }
    file.end()
}

/// Objects one after another, and where each starts.
struct File {
    out: Vec<u8>,
    places: Vec<usize>,
}

impl File {
    fn object(&mut self, body: &str) {
        self.places.push(self.out.len());
        self.out.extend(format!("{} 0 obj\n{body}\nendobj\n", self.places.len()).bytes());
    }

    fn end(mut self) -> Vec<u8> {
        let start = self.out.len();
        let count = self.places.len() + 1;
        let mut table = format!("xref\n0 {count}\n0000000000 65535 f \n");
        for place in &self.places {
            let _ = writeln!(table, "{place:010} 00000 n ");
        }
        let _ = write!(
            table,
            "trailer\n<< /Size {count} /Root 1 0 R /Info 3 0 R >>\nstartxref\n{start}\n%%EOF\n"
        );
        self.out.extend(table.bytes());
        self.out
    }
}

/// A text of the file's properties: 16 bits to the sign, in hexadecimal figures.
fn text(what: &str) -> String {
    let mut out = String::from("<FEFF");
    for unit in what.encode_utf16() {
        let _ = write!(out, "{unit:04X}");
    }
    out + ">"
}

/// A text to be shown: the signs that the font's encoding shares with ASCII.
fn shown(what: &str) -> String {
    let mut out = String::from("(");
    for c in what.chars() {
        match c {
            '(' | ')' | '\\' => out.extend(['\\', c]),
            ' '..='~' => out.push(c),
            _ => out.push('?'),
        }
    }
    out + ")"
}

fn number(value: f64) -> String {
    let mut out = String::new();
    push_mm(&mut out, value);
    out
}

fn numbers(out: &mut String, values: &[f64], operator: &str) {
    for value in values {
        push_mm(out, *value);
        out.push(' ');
    }
    *out += operator;
    out.push('\n');
}

fn line(out: &mut String, a: (f64, f64), b: (f64, f64)) {
    numbers(out, &[a.0, a.1], "m");
    numbers(out, &[b.0, b.1], "l S");
}

fn write_at(out: &mut String, what: &str, x: f64, y: f64, height: f64) {
    let _ = write!(out, "BT /F {} Tf ", number(height));
    numbers(out, &[x, y], "Td");
    *out += &shown(what);
    *out += " Tj ET\n";
}

/// What a page shows: its window on the work, marks, ruler, caption.
fn page(layers: &[&Layer], meta: &Meta, plan: &Plan, (column, row): (usize, usize), low: Vec2) -> String {
    let mut out = String::from("q\n");
    let k = POINT;
    // Nine figures: over five metres the last one is a hundredth of a µm.
    let _ = writeln!(out, "{k:.12} 0 0 {k:.12} 0 0 cm");
    furniture(&mut out, meta, plan, (column, row));
    let step = (plan.window.0 - OVERLAP, plan.window.1 - OVERLAP);
    let corner = low + Vec2::new(step.0 * column as f64, step.1 * row as f64);
    let far = corner + Vec2::new(plan.window.0, plan.window.1);
    let (x, y) = (BORDER, BORDER + FOOT);
    numbers(&mut out, &[x, y, plan.window.0, plan.window.1], "re W n");
    numbers(&mut out, &[1.0, 0.0, 0.0, 1.0, x - corner.x, y - corner.y], "cm");
    numbers(&mut out, &[HAIRLINE], "w 1 J 1 j");
    for (i, layer) in layers.iter().enumerate() {
        let _ = writeln!(out, "/OC /L{i} BDC\nq");
        out += style(layer.meaning);
        let seen = |p: &Path| {
            let (l, h) = p.bounds();
            l.x <= far.x && h.x >= corner.x && l.y <= far.y && h.y >= corner.y
        };
        for path in layer.lines.iter().filter(|p| seen(p)) {
            draw(&mut out, path);
            out += "S\n";
        }
        let loops: Vec<&Path> = layer.loops.iter().filter(|p| seen(p)).collect();
        loops.iter().for_each(|p| draw(&mut out, p));
        if !loops.is_empty() {
            out += if layer.meaning == Meaning::Engrave { "f\n" } else { "S\n" };
        }
        out += "Q\nEMC\n";
    }
    out + "Q"
}

/// Colours and dashes of a meaning, as in the other files.
fn style(meaning: Meaning) -> &'static str {
    match meaning {
        Meaning::Engrave => "0.54 0.48 0.4 rg 0.54 0.48 0.4 RG\n",
        Meaning::Draw => "0.18 0.36 0.54 RG\n",
        Meaning::Score => "0.69 0.48 0.12 RG [2 1] 0 d\n",
        Meaning::Cut => "0.61 0.18 0.18 RG\n",
    }
}

fn furniture(out: &mut String, meta: &Meta, plan: &Plan, (column, row): (usize, usize)) {
    *out += "0 0 0 RG 0 0 0 rg\n";
    numbers(out, &[0.2], "w");
    let base = BORDER + 4.0;
    line(out, (BORDER, base), (BORDER + 100.0, base));
    for i in 0..=10 {
        let x = BORDER + 10.0 * f64::from(i);
        line(out, (x, base), (x, base + if i % 5 == 0 { 3.0 } else { 1.8 }));
    }
    write_at(out, "100 mm: measure it; print at 100 %, without fitting", BORDER, BORDER, 3.0);
    let title = one_line(&meta.title);
    let pages = plan.pages();
    let place = match pages {
        1 => String::new(),
        _ => format!(
            "page {} of {pages}: column {}, row {}",
            row * plan.columns + column + 1,
            column + 1,
            row + 1
        ),
    };
    write_at(out, &title, BORDER + 106.0, base + 1.5, 3.2);
    write_at(out, &place, BORDER + 106.0, base - 3.5, 3.2);
    if pages == 1 {
        return;
    }
    // The window's corners, and where the windows beside it begin.
    let (x, y) = (BORDER, BORDER + FOOT);
    let (right, top) = (x + plan.window.0, y + plan.window.1);
    for (u, v) in [(x, y), (right, y), (x, top), (right, top)] {
        line(out, (u - 3.0, v), (u + 3.0, v));
        line(out, (u, v - 3.0), (u, v + 3.0));
    }
    *out += "0.5 0.5 0.5 RG [0.5 2] 0 d\n";
    for (there, at) in [(column > 0, x + OVERLAP), (column + 1 < plan.columns, right - OVERLAP)] {
        if there {
            line(out, (at, y), (at, top));
        }
    }
    for (there, at) in [(row > 0, y + OVERLAP), (row + 1 < plan.rows, top - OVERLAP)] {
        if there {
            line(out, (x, at), (right, at));
        }
    }
    *out += "[] 0 d\n";
}

fn draw(out: &mut String, path: &Path) {
    let start = path.start();
    numbers(out, &[start.x, start.y], "m");
    let last = path.pieces.len().saturating_sub(1);
    for (i, piece) in path.pieces.iter().enumerate() {
        for part in piece.cubics() {
            match part {
                Segment::Cubic(_, p, q, b) => numbers(out, &[p.x, p.y, q.x, q.y, b.x, b.y], "c"),
                // The end of a loop draws its last straight side.
                _ if path.closed && i == last => {}
                other => numbers(out, &[other.end().x, other.end().y], "l"),
            }
        }
    }
    if path.closed {
        *out += "h\n";
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::flat;

    #[test]
    fn pages_are_as_few_as_they_can_be() {
        assert_eq!(plan(Vec2::new(190.0, 263.0)).pages(), 1);
        assert_eq!(plan(Vec2::new(190.1, 263.0)).pages(), 2);
        let wide = plan(Vec2::new(260.0, 150.0));
        assert_eq!((wide.pages(), wide.paper), (1, (297.0, 210.0)));
        let large = plan(Vec2::new(1000.0, 700.0));
        assert!(large.columns as f64 * (large.window.0 - OVERLAP) + OVERLAP >= 1000.0);
        assert!(large.rows as f64 * (large.window.1 - OVERLAP) + OVERLAP >= 700.0);
    }

    #[test]
    fn every_object_starts_where_the_table_says() {
        let meta = Meta { title: "Tide (one)".into(), maker: "Mø".into(), ..Meta::default() };
        let file = bytes(&flat::disc(150.0).unwrap(), &meta);
        let text: String = file.iter().map(|b| if b.is_ascii() { char::from(*b) } else { '?' }).collect();
        let start: usize =
            text.rsplit("startxref\n").next().unwrap().lines().next().unwrap().parse().unwrap();
        let table: Vec<&str> = text[start..].lines().skip(3).take_while(|l| l.ends_with("n ")).collect();
        for (i, row) in table.iter().enumerate() {
            let at: usize = row[..10].parse().unwrap();
            assert!(text[at..].starts_with(&format!("{} 0 obj", i + 1)));
        }
        assert!(table.len() > 8 && text.contains("/Title <FEFF0054") && text.contains("page 2 of 4"));
    }
}

//! Cutting sheet: what a laser, a drag knife, a hand knife, a water jet, a saw and a mill take away and leave standing.
//!
//! Figures marked `published` were read in makers' tables of kerfs and design rules (laser kerfs of paper, board,
//! acrylic, plywood, fibreboard and stainless sheet; sheet-metal rules for holes and webs; smallest pieces and strokes
//! of cut film; blade offsets and overcuts). Those marked `common practice` or `from memory` are that.

/// How sheet is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// A beam that burns or melts its way.
    Laser,
    /// A small swivelling blade that trails behind its axis.
    DragKnife,
    /// A knife in a hand.
    HandKnife,
    /// Water with grit.
    WaterJet,
    /// A narrow blade that goes up and down.
    Saw,
    /// A turning cutter.
    Mill,
}

impl Method {
    /// Every method.
    pub const ALL: [Self; 6] =
        [Self::Laser, Self::DragKnife, Self::HandKnife, Self::WaterJet, Self::Saw, Self::Mill];

    /// As a script writes it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Laser => "laser",
            Self::DragKnife => "drag knife",
            Self::HandKnife => "hand knife",
            Self::WaterJet => "water jet",
            Self::Saw => "saw",
            Self::Mill => "mill",
        }
    }

    /// The method of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.name() == name)
    }

    /// What every use of it should be told. Figures and checks never stand for the machine's manual.
    pub fn caution(self) -> &'static str {
        match self {
            Self::Laser => {
                "a laser blinds, burns and makes fumes: closed machine, extraction, somebody beside it; the maker's \
                 manual, the sheet's data sheet and local codes rule"
            }
            Self::DragKnife | Self::HandKnife => "blades cut hands: the maker's manual and local codes rule",
            Self::WaterJet => "a water jet cuts flesh: licensed operators only; local codes rule",
            Self::Saw | Self::Mill => {
                "fine dust harms lungs and can burn: extraction, eye and hearing protection; the maker's manual and \
                 local codes rule"
            }
        }
    }
}

/// How one sheet is cut by one method: what is taken away, and the least that may be left. Lengths are mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutting {
    /// The method.
    pub method: Method,
    /// The sheet's material, in plain words.
    pub material: String,
    /// Its thickness.
    pub thickness: f64,
    /// Width of what is taken away.
    pub kerf: f64,
    /// The thinnest strip that should be left between two cuts.
    pub strip: f64,
    /// Lines nearer than this burn or tear what is between them.
    pub spacing: f64,
    /// The smallest piece: its narrowest width.
    pub piece: f64,
    /// Width of bridges that hold islands.
    pub bridge: f64,
    /// Between pieces on a sheet.
    pub gap: f64,
    /// Free border of a sheet.
    pub margin: f64,
    /// The least radius of a hollow corner; sharper ones are rounded by the tool.
    pub radius: f64,
    /// How far the blade's tip trails behind its axis; 0 for other tools.
    pub offset: f64,
    /// How far a closed cut goes on past its start; 0 for other tools.
    pub overcut: f64,
    /// Where the figures come from.
    pub source: &'static str,
}

/// Why there is no such process.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoCut {
    /// The material must not be cut so.
    #[error("a {method} must not cut {material}: {why}")]
    Never {
        /// The method.
        method: &'static str,
        /// The material.
        material: String,
        /// What happens.
        why: &'static str,
    },
    /// The material is not known.
    #[error("there are no figures for cutting {material} by {method}")]
    Unknown {
        /// The method.
        method: &'static str,
        /// The material.
        material: String,
        /// Materials that there are figures for.
        known: Vec<&'static str>,
    },
    /// The sheet is too thick or too thin.
    #[error("{material} {thickness} mm thick is out of reach of a {method}: from {least} to {most} mm")]
    Thickness {
        /// The method.
        method: &'static str,
        /// The material.
        material: String,
        /// As asked, mm.
        thickness: String,
        /// Least, mm.
        least: String,
        /// Most, mm.
        most: String,
    },
}

/// What belongs to a material under one method: kerfs by thickness (mm, mm), in order of thickness.
struct Row {
    method: Method,
    material: &'static str,
    kerfs: &'static [(f64, f64)],
    thickest: f64,
    source: &'static str,
}

const PUBLISHED: &str = "kerf published";
const PRACTICE: &str = "common practice";
const MEMORY: &str = "from memory";

const fn row(
    method: Method,
    material: &'static str,
    kerfs: &'static [(f64, f64)],
    thickest: f64,
    source: &'static str,
) -> Row {
    Row { method, material, kerfs, thickest, source }
}

const ROWS: &[Row] = &[
    row(Method::Laser, "paper", &[(0.1, 0.08)], 0.4, PUBLISHED),
    row(Method::Laser, "card", &[(0.3, 0.08), (1.0, 0.08)], 1.2, PUBLISHED),
    row(Method::Laser, "museum board", &[(0.8, 0.08), (1.6, 0.13)], 4.0, PUBLISHED),
    row(Method::Laser, "cardboard", &[(1.5, 0.15), (2.0, 0.15)], 5.0, PUBLISHED),
    row(Method::Laser, "acrylic", &[(3.0, 0.15), (6.0, 0.18), (10.0, 0.25)], 20.0, PUBLISHED),
    row(Method::Laser, "plywood", &[(3.0, 0.20), (6.0, 0.25)], 12.0, PUBLISHED),
    row(Method::Laser, "fibreboard", &[(3.0, 0.18), (6.0, 0.22)], 12.0, PUBLISHED),
    row(Method::Laser, "stainless steel", &[(0.5, 0.08), (1.0, 0.08), (3.0, 0.2)], 6.0, PUBLISHED),
    row(Method::Laser, "brass", &[(0.5, 0.13), (3.0, 0.25)], 4.0, MEMORY),
    row(Method::Laser, "veneer", &[(0.5, 0.1)], 1.5, MEMORY),
    row(Method::Laser, "felt", &[(2.0, 0.3)], 6.0, MEMORY),
    row(Method::Laser, "leather", &[(2.0, 0.2)], 5.0, MEMORY),
    row(Method::Laser, "polyester film", &[(0.18, 0.1)], 0.5, MEMORY),
    row(Method::DragKnife, "film", &[(0.1, 0.0)], 0.4, PRACTICE),
    row(Method::DragKnife, "vinyl", &[(0.1, 0.0)], 0.4, PRACTICE),
    row(Method::DragKnife, "transfer film", &[(0.1, 0.0)], 0.6, PRACTICE),
    row(Method::DragKnife, "polyester film", &[(0.18, 0.0)], 0.4, PRACTICE),
    row(Method::DragKnife, "paper", &[(0.1, 0.0)], 0.4, PRACTICE),
    row(Method::DragKnife, "card", &[(0.3, 0.0)], 0.8, PRACTICE),
    row(Method::HandKnife, "paper", &[(0.1, 0.0)], 0.4, PRACTICE),
    row(Method::HandKnife, "card", &[(0.3, 0.0)], 1.2, PRACTICE),
    row(Method::HandKnife, "museum board", &[(0.8, 0.0)], 3.0, PRACTICE),
    row(Method::HandKnife, "veneer", &[(0.5, 0.0)], 1.0, PRACTICE),
    row(Method::HandKnife, "leather", &[(2.0, 0.0)], 4.0, PRACTICE),
    row(Method::WaterJet, "stainless steel", &[(1.0, 0.9), (20.0, 1.2)], 60.0, MEMORY),
    row(Method::WaterJet, "aluminium", &[(1.0, 0.9), (20.0, 1.2)], 80.0, MEMORY),
    row(Method::WaterJet, "brass", &[(1.0, 0.9), (20.0, 1.2)], 60.0, MEMORY),
    row(Method::WaterJet, "glass", &[(3.0, 1.0), (12.0, 1.2)], 25.0, MEMORY),
    row(Method::WaterJet, "stone", &[(10.0, 1.1), (30.0, 1.4)], 60.0, MEMORY),
    row(Method::Saw, "plywood", &[(3.0, 0.6), (12.0, 0.9)], 30.0, MEMORY),
    row(Method::Saw, "wood", &[(3.0, 0.6), (20.0, 1.0)], 50.0, MEMORY),
    row(Method::Saw, "brass", &[(0.5, 0.25), (2.0, 0.35)], 4.0, MEMORY),
    row(Method::Saw, "silver", &[(0.5, 0.25), (2.0, 0.35)], 4.0, MEMORY),
    row(Method::Mill, "plywood", &[(3.0, 3.0), (12.0, 6.0)], 30.0, MEMORY),
    row(Method::Mill, "wood", &[(3.0, 3.0), (20.0, 6.0)], 50.0, MEMORY),
    row(Method::Mill, "acrylic", &[(3.0, 2.0), (10.0, 3.0)], 20.0, MEMORY),
    row(Method::Mill, "brass", &[(1.0, 1.5), (6.0, 3.0)], 10.0, MEMORY),
];

/// What must never be cut by laser, by the words that name it. Published in lists of workshops.
const NEVER_LASER: &[(&str, &str)] = &[
    ("vinyl", "it gives off chlorine and hydrogen chloride"),
    ("pvc", "it gives off chlorine and hydrogen chloride"),
    ("abs", "it gives off cyanide, and melts"),
    ("polycarbonate", "it burns and soots"),
    ("foam", "it catches fire"),
];

/// The process by method, material and thickness (mm), with figures to start from.
///
/// # Errors
/// [`NoCut`].
pub fn cutting(method: Method, material: &str, thickness: f64) -> Result<Cutting, NoCut> {
    let material = material.trim().to_lowercase();
    let names = |word: &str| material.split_whitespace().any(|w| w == word);
    if method == Method::Laser
        && let Some((_, why)) = NEVER_LASER.iter().find(|(word, _)| names(word))
    {
        return Err(NoCut::Never { method: method.name(), material, why });
    }
    let rows = || ROWS.iter().filter(|r| r.method == method);
    let Some(row) = rows().find(|r| r.material == material) else {
        let known = rows().map(|r| r.material).collect();
        return Err(NoCut::Unknown { method: method.name(), material, known });
    };
    if !(thickness >= 0.02 && thickness <= row.thickest) {
        return Err(NoCut::Thickness {
            method: method.name(),
            material,
            thickness: thickness.to_string(),
            least: "0.02".into(),
            most: row.thickest.to_string(),
        });
    }
    Ok(with_limits(row, thickness))
}

/// The limits that go with a method; each with where it comes from.
fn with_limits(row: &Row, t: f64) -> Cutting {
    let thousandths = |mm: f64| (mm * 1000.0).round() / 1000.0;
    let kerf = thousandths(between(row.kerfs, t));
    let metal = ["stainless steel", "brass", "aluminium", "silver"].contains(&row.material);
    let thin = ["paper", "film", "vinyl", "transfer film", "polyester film"].contains(&row.material);
    let base = Cutting {
        method: row.method,
        material: row.material.into(),
        thickness: t,
        kerf,
        strip: t.max(1.0),
        spacing: 0.5,
        piece: 3.0_f64.max(t),
        bridge: 1.0,
        gap: kerf + 1.0,
        margin: 8.0,
        radius: 0.5 * kerf,
        offset: 0.0,
        overcut: 0.0,
        source: row.source,
    };
    let made = match row.method {
        // Strip at least the thickness, under 1 mm fragile, lines nearer than 0.5 burn out: published. In sheet metal
        // webs of the thickness and more: published. Bridges 1 mm in 0.18 mm film and 2.5 mm in 3 mm acrylic:
        // published; between them in proportion.
        Method::Laser => Cutting {
            strip: if metal { t.max(0.5) } else { t.max(1.0) },
            bridge: thousandths((1.0 + (t - 0.18) * (1.5 / 2.82)).max(1.0)),
            ..base
        },
        // Strokes of 2 mm and pieces of 2 mm in film, offsets 0.25 and 0.5, overcut about the offset to 2 mm:
        // published. Strips 1.5 mm in paper and 2 mm in card: common practice.
        Method::DragKnife => {
            let offset = if thin && row.material != "paper" { 0.25 } else { 0.5 };
            Cutting {
                strip: if row.material == "paper" { 1.5 } else { 2.0 },
                piece: 2.0,
                bridge: 1.0,
                gap: 2.0,
                radius: offset,
                offset,
                overcut: 1.0,
                ..base
            }
        }
        // Common practice.
        Method::HandKnife => {
            Cutting { strip: if thin { 1.5 } else { 2.0 }, spacing: 1.0, bridge: 1.5, gap: 3.0, ..base }
        }
        // From memory; clear gaps let the jet start.
        Method::WaterJet => Cutting {
            strip: t.max(2.0),
            spacing: kerf + 1.0,
            piece: 20.0,
            bridge: 3.0,
            gap: 6.0,
            margin: 15.0,
            ..base
        },
        // From memory.
        Method::Saw => Cutting {
            strip: if metal { t.max(1.0) } else { t.max(3.0) },
            piece: if metal { 4.0 } else { 15.0 },
            bridge: if metal { 1.5 } else { 3.0 },
            gap: 5.0,
            ..base
        },
        Method::Mill => Cutting {
            strip: t.max(2.0),
            spacing: kerf,
            piece: 20.0,
            bridge: 3.0,
            gap: kerf + 2.0,
            margin: 15.0,
            ..base
        },
    };
    // A bridge is a strip too; a tenth more, since it meets outlines at a slant.
    Cutting { bridge: thousandths(1.1 * made.bridge.max(made.strip)), ..made }
}

/// The kerf at a thickness: straight between the entries, level beyond them.
fn between(kerfs: &[(f64, f64)], t: f64) -> f64 {
    let Some(last) = kerfs.last() else { return 0.0 };
    match kerfs.iter().position(|(at, _)| *at >= t) {
        None => last.1,
        Some(0) => kerfs[0].1,
        Some(i) => {
            let ((a, k), (b, l)) = (kerfs[i - 1], kerfs[i]);
            k + (l - k) * (t - a) / (b - a)
        }
    }
}

/// The process that a text tells: method, material, thickness, as "laser plywood 3" or "drag knife film 0.1 mm".
///
/// # Errors
/// A sentence that says what is missing, or the [`NoCut`].
pub fn told(text: &str) -> Result<Cutting, Told> {
    let words = text.to_lowercase().replace(',', " ");
    let lower = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let Some(method) = Method::ALL.into_iter().find(|m| lower.starts_with(m.name())) else {
        return Err(Told::Method);
    };
    let rest = lower[method.name().len()..].trim();
    let rest = rest.strip_suffix("mm").unwrap_or(rest).trim_end();
    let (material, thickness) = rest.rsplit_once(' ').ok_or(Told::Thickness)?;
    let thickness: f64 = thickness.parse().map_err(|_| Told::Thickness)?;
    cutting(method, material, thickness).map_err(Told::No)
}

/// Why a text tells no process.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// It starts with no method.
    Method,
    /// It ends in no thickness.
    Thickness,
    /// There is no such process.
    No(NoCut),
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Kerfs as published tables of makers have them (laser: paper 0.08, acrylic 3/6/10 mm 0.15/0.18/0.25, plywood 3/6
    /// mm 0.20/0.25, fibreboard 0.18/0.22).
    #[test]
    fn kerfs_are_those_of_the_tables() {
        let kerf = |m, t| cutting(Method::Laser, m, t).unwrap().kerf;
        for (material, thickness, want) in [
            ("paper", 0.1, 0.08),
            ("acrylic", 3.0, 0.15),
            ("acrylic", 6.0, 0.18),
            ("acrylic", 10.0, 0.25),
            ("plywood", 6.0, 0.25),
            ("fibreboard", 3.0, 0.18),
            ("museum board", 1.6, 0.13),
        ] {
            assert!((kerf(material, thickness) - want).abs() < 1e-12, "{material} {thickness}");
        }
        assert!((kerf("acrylic", 4.5) - 0.165).abs() < 1e-12);
        assert_eq!(cutting(Method::DragKnife, "film", 0.1).unwrap().offset, 0.25);
    }

    #[test]
    fn every_row_gives_limits_that_make_sense() {
        for row in ROWS {
            let c = cutting(row.method, row.material, row.kerfs[0].0).unwrap();
            assert!(c.strip > c.kerf * 0.3 && c.bridge >= 1.0 && c.gap >= c.kerf && c.piece > 0.0, "{c:?}");
            assert!(row.kerfs.windows(2).all(|w| w[0].0 < w[1].0), "{}", row.material);
        }
    }

    #[test]
    fn texts_are_read_and_poison_is_refused() {
        assert_eq!(told("laser plywood 3 mm").unwrap(), cutting(Method::Laser, "plywood", 3.0).unwrap());
        assert_eq!(told("laser, plywood, 3"), told("laser plywood 3"));
        assert_eq!(told("drag knife transfer film 0.1").unwrap().method, Method::DragKnife);
        assert_eq!(told("scissors paper 0.1"), Err(Told::Method));
        assert_eq!(told("laser plywood"), Err(Told::Thickness));
        assert!(matches!(told("laser black vinyl 0.1"), Err(Told::No(NoCut::Never { .. }))));
        assert!(matches!(told("laser cheese 3"), Err(Told::No(NoCut::Unknown { .. }))));
        assert!(matches!(told("laser plywood 90"), Err(Told::No(NoCut::Thickness { .. }))));
    }
}

//! Groups of motions as one value: point groups, friezes, wallpapers, space groups. Lengths are mm.
//!
//! A group is a list of motions and the steps of a lattice: every motion of it is one of the list followed by whole
//! steps. Groups of the plane act on space too, with heights kept.

mod coxeter;
mod domain;
mod fold;
mod hall;
mod hypersphere;
mod jones;
mod mirrored;
mod orbit;
mod plane;
mod point;
mod symbol;

use std::sync::Arc;

pub use coxeter::{Mirrors, mirrors, of_matrix};
pub use domain::{domain_flat, domain_solid};
pub use fold::{fold_field, fold_solid};
pub use hall::{Setting, motions_of, settings};
pub use jones::Jones;
pub(super) use orbit::once;
pub use orbit::{Reach, orbit_curve, orbit_flat, orbit_net, orbit_points, orbit_solid};
pub use plane::{Cell, FRIEZE, Plane, WALLPAPER};
pub use point::Point;

use mirrored::Mirrored;

use crate::base::{Affine, Vec3};

/// Most motions of a group, or of one cell of it.
const MOST: usize = 2000;
/// How far an edge or angle of a cell may be from what a group needs, as a part.
const FITS: f64 = 1e-6;

/// What repeats a group's motions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Nothing: a finite group that keeps a point.
    Point,
    /// Steps along x.
    Frieze,
    /// Steps in the plane.
    Wallpaper,
    /// Steps in space.
    Space,
    /// Motions of the hyperbolic plane, in the disc of H. Poincaré.
    Disc,
    /// Motions of the sphere of four dimensions, seen in space by stereographic projection.
    Hypersphere,
}

impl Kind {
    /// As people speak of it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Point => "point group",
            Self::Frieze => "frieze group",
            Self::Wallpaper => "wallpaper group",
            Self::Space => "space group",
            Self::Disc => "group of the hyperbolic plane",
            Self::Hypersphere => "group of four dimensions",
        }
    }
}

/// A group of motions; cloning is cheap. Lengths are mm.
#[derive(Clone, Debug)]
pub struct Group {
    name: Arc<str>,
    kind: Kind,
    motions: Arc<[Affine]>,
    steps: Arc<[Vec3]>,
    mirrored: Option<Arc<Mirrored>>,
}

/// Edges (mm) and angles (degrees) of a cell; what is not given follows from the group.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[allow(missing_docs)]
pub struct CellAsk {
    pub a: Option<f64>,
    pub b: Option<f64>,
    pub c: Option<f64>,
    pub alpha: Option<f64>,
    pub beta: Option<f64>,
    pub gamma: Option<f64>,
}

/// Why there is no such group.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GroupFault {
    /// No group has that name.
    #[error("there is no group \"{0}\"")]
    Unknown(String),
    /// The number is none of 1 to 230.
    #[error("space groups have numbers from 1 to 230, got {0}")]
    Number(i64),
    /// A generator cannot be read.
    #[error("\"{0}\" is no motion of a cell: write it as \"-y, x, z+1/2\"")]
    Motion(String),
    /// Generators without end.
    #[error("these motions make more than {0} in one cell")]
    Endless(usize),
    /// Motions that make no finite group.
    #[error(
        "these motions make more than {0}: those of a finite group keep a point, and turn by parts of a circle that suit one \
         another, as 72 degrees about an axis of fives"
    )]
    Open(usize),
    /// The angles of a cell close no cell.
    #[error("no cell has the angles {alpha}°, {beta}° and {gamma}°")]
    Angles {
        /// Between b and c.
        alpha: f64,
        /// Between a and c.
        beta: f64,
        /// Between a and b.
        gamma: f64,
    },
    /// A cell that the group's motions would not keep.
    #[error("the cell does not suit {group}: {needs}")]
    Cell {
        /// The group's name.
        group: String,
        /// What it needs.
        needs: String,
    },
    /// An edge or angle that is not positive.
    #[error("`{0}` of a cell must be more than 0, got {1}")]
    Edge(&'static str, f64),
    /// A Coxeter diagram that is none, or whose group has no end.
    #[error("{0}")]
    Diagram(String),
    /// A group that cannot do what is asked.
    #[error("{0}")]
    Unfit(String),
}

impl Group {
    /// The group that a symbol names: Schoenflies, Hermann-Mauguin, orbifold or Hall. "frieze", "wallpaper", "space" or
    /// "point" before it chooses among groups that share a symbol; Schoenflies symbols come first
    /// ("space C2" is the space group), then space groups, wallpapers, friezes.
    ///
    /// # Errors
    /// [`GroupFault`].
    pub fn named(symbol: &str, cell: &CellAsk) -> Result<Self, GroupFault> {
        let given = symbol.trim();
        let typed = symbol::typed(given);
        let symbol = typed.as_str();
        if let Some(whole) = symbol.strip_suffix('+').filter(|s| s.ends_with(']')) {
            return Ok(Self::named(whole, cell)?.turning(given));
        }
        if symbol.starts_with('[') {
            return coxeter::group(symbol, cell);
        }
        let (among, rest) = match symbol.split_once(' ') {
            Some((word @ ("frieze" | "wallpaper" | "space" | "point"), rest)) => (word, rest.trim()),
            _ => ("", symbol),
        };
        let wants = |kind: &str| among.is_empty() || among == kind;
        if among.is_empty()
            && let Some(found) = point::schoenflies(rest).and_then(|_| Point::named(rest))
        {
            return Ok(Self::point(rest, found));
        }
        let capital = rest.starts_with(|c: char| "PABCIFRH-".contains(c));
        let space = wants("space") && (capital || among == "space");
        let older = |s: &str| hall::setting(s).or_else(|| hall::setting(&symbol::with_bars(s)?));
        let marked = || older(&symbol::with_choice(rest)?);
        if let Some(setting) = older(rest).or_else(marked).filter(|_| space) {
            return Self::space(setting, cell);
        }
        if let Some((setting, generators)) = hall::with_origin(rest).filter(|_| space) {
            let usual = (143..=194).contains(&setting.number).then_some(120.0);
            return Self::of_cell(given, Kind::Space, &generators, cell, usual);
        }
        if let Some(found) = plane::named(WALLPAPER, rest).filter(|_| wants("wallpaper")) {
            return Self::plane(found, Kind::Wallpaper, cell);
        }
        if let Some(found) = plane::named(FRIEZE, rest).filter(|_| wants("frieze")) {
            return Self::plane(found, Kind::Frieze, cell);
        }
        if symbol::turns_the_hyperbolic_plane(rest)
            && let Some(corners) = coxeter::corners(&format!("*{rest}"))
        {
            return Ok(coxeter::of_corners(given, &corners, cell)?.turning(given));
        }
        match Point::named(rest).filter(|_| wants("point")) {
            Some(found) => Ok(Self::point(given, found)),
            None => match coxeter::corners(rest) {
                Some(corners) => coxeter::of_corners(given, &corners, cell),
                None => Err(GroupFault::Unknown(given.to_owned())),
            },
        }
    }

    /// The space group of that number in its usual setting.
    ///
    /// # Errors
    /// [`GroupFault`].
    pub fn numbered(number: i64, cell: &CellAsk) -> Result<Self, GroupFault> {
        let found = settings().find(|s| i64::from(s.number) == number).ok_or(GroupFault::Number(number))?;
        Self::space(found, cell)
    }

    /// The group that motions of a cell make, with the steps of that cell.
    ///
    /// # Errors
    /// [`GroupFault`].
    pub fn generated(triplets: &[&str], cell: &CellAsk) -> Result<Self, GroupFault> {
        let read = |t: &&str| Jones::read(t).ok_or_else(|| GroupFault::Motion((*t).to_owned()));
        let generators: Vec<Jones> = triplets.iter().map(read).collect::<Result<_, _>>()?;
        let name = format!("generated by {}", triplets.join("; "));
        let made = |cell: &CellAsk| Self::of_cell(&name, Kind::Space, &generators, cell, None);
        match made(cell) {
            // Threes and sixes about an edge turn the other two into one another, 120° apart.
            Err(fault @ GroupFault::Cell { .. }) => {
                let third = Some(120.0);
                let usual = [
                    CellAsk { gamma: cell.gamma.or(third), ..*cell },
                    CellAsk { alpha: cell.alpha.or(third), ..*cell },
                    CellAsk { beta: cell.beta.or(third), ..*cell },
                ];
                usual.iter().find_map(|cell| made(cell).ok()).ok_or(fault)
            }
            other => other,
        }
    }

    fn point(name: &str, point: Point) -> Self {
        let motions = point.motions().into();
        Self { name: name.into(), kind: Kind::Point, motions, steps: Arc::new([]), mirrored: None }
    }

    /// A finite group by its motions.
    fn finite(name: &str, motions: Vec<Affine>) -> Self {
        Self {
            name: name.into(),
            kind: Kind::Point,
            motions: motions.into(),
            steps: Arc::new([]),
            mirrored: None,
        }
    }

    /// A group of the hyperbolic plane or of four dimensions.
    fn mirrored(name: &str, mirrors: Mirrored) -> Self {
        let kind = if mirrors.is_disc() { Kind::Disc } else { Kind::Hypersphere };
        let (motions, steps) = (Arc::new([Affine::IDENTITY]), Arc::new([]));
        Self { name: name.into(), kind, motions, steps, mirrored: Some(Arc::new(mirrors)) }
    }

    fn space(setting: Setting, cell: &CellAsk) -> Result<Self, GroupFault> {
        let generators =
            hall::generators(setting.hall).ok_or_else(|| GroupFault::Unknown(setting.hall.to_owned()))?;
        let hexagonal = (143..=194).contains(&setting.number) && !setting.symbol.ends_with(":R");
        let rhombohedral = setting.symbol.ends_with(":R");
        let usual = if hexagonal { Some(120.0) } else { None };
        if rhombohedral {
            let angle = cell.alpha.or(cell.beta).or(cell.gamma).or(Some(60.0));
            let or = |given: Option<f64>| given.or(angle);
            let cell = CellAsk { alpha: or(cell.alpha), beta: or(cell.beta), gamma: or(cell.gamma), ..*cell };
            return Self::of_cell(setting.symbol, Kind::Space, &generators, &cell, usual);
        }
        let made = Self::of_cell(setting.symbol, Kind::Space, &generators, cell, usual);
        made.map_err(|fault| match (fault, setting.symbol.strip_suffix(":H")) {
            (GroupFault::Cell { group, .. }, Some(body)) => {
                let needs = format!(
                    "it needs a = b, α = β = 90° and γ = 120°; for a rhombohedral cell, with a = b = c and α = β = γ, write \
                     `{}:R`",
                    body.replace(' ', "")
                );
                GroupFault::Cell { group, needs }
            }
            (fault, _) => fault,
        })
    }

    fn plane(plane: &Plane, kind: Kind, cell: &CellAsk) -> Result<Self, GroupFault> {
        let generators: Vec<Jones> = plane.generators.iter().filter_map(|g| Jones::read(g)).collect();
        let flat = CellAsk { c: Some(1.0), alpha: None, beta: None, ..*cell };
        let usual = if plane.cell == Cell::Hexagon { Some(120.0) } else { None };
        Self::of_cell(plane.symbol, kind, &generators, &flat, usual)
    }

    fn of_cell(
        name: &str,
        kind: Kind,
        generators: &[Jones],
        cell: &CellAsk,
        gamma: Option<f64>,
    ) -> Result<Self, GroupFault> {
        let all = jones::closure(generators, MOST).ok_or(GroupFault::Endless(MOST))?;
        let a = cell.a.unwrap_or(10.0);
        let (b, c) = (cell.b.unwrap_or(a), cell.c.unwrap_or(a));
        let (alpha, beta) = (cell.alpha.unwrap_or(90.0), cell.beta.unwrap_or(90.0));
        let gamma = cell.gamma.or(gamma).unwrap_or(90.0);
        for (edge, size) in [("a", a), ("b", b), ("c", c), ("alpha", alpha), ("beta", beta), ("gamma", gamma)]
        {
            if !(size.is_finite() && size > 0.0) {
                return Err(GroupFault::Edge(edge, size));
            }
        }
        let basis = basis([a, b, c], [alpha, beta, gamma])?;
        let mut motions = Vec::with_capacity(all.len());
        for one in &all {
            motions.push(
                real(one, &basis)
                    .ok_or_else(|| GroupFault::Cell { group: name.to_owned(), needs: jones::needs(&all) })?,
            );
        }
        motions.sort_by_key(|m| !point::same(m, &Affine::IDENTITY));
        let steps = match kind {
            Kind::Point | Kind::Disc | Kind::Hypersphere => Vec::new(),
            Kind::Frieze => basis[..1].to_vec(),
            Kind::Wallpaper => basis[..2].to_vec(),
            Kind::Space => basis.to_vec(),
        };
        Ok(Self { name: name.into(), kind, motions: motions.into(), steps: steps.into(), mirrored: None })
    }

    /// The motions that turn nothing over: turns, screws and steps, half of those of a group with mirrors.
    fn turning(self, name: &str) -> Self {
        let motions = self.motions.iter().filter(|m| m.determinant() > 0.0).copied().collect();
        let mirrored = self.mirrored.map(|m| Arc::new(m.turning()));
        Self { name: name.into(), motions, mirrored, ..self }
    }

    /// The finite group that motions of space make.
    ///
    /// # Errors
    /// [`GroupFault::Open`].
    pub fn of_motions(name: &str, generators: &[Affine]) -> Result<Self, GroupFault> {
        let all = point::closure(generators, MOST + 1);
        if all.len() > MOST { Err(GroupFault::Open(MOST)) } else { Ok(Self::finite(name, all)) }
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What repeats it.
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// The motions, the identity first: all of a finite group, else those of one cell.
    pub fn motions(&self) -> &[Affine] {
        &self.motions
    }

    /// The steps that repeat the motions, mm.
    pub fn steps(&self) -> &[Vec3] {
        &self.steps
    }

    /// Number of motions: of a finite group, or of one cell (general positions of the cell); 0 for a group of the hyperbolic
    /// plane, which has no end and no cell.
    pub fn order(&self) -> usize {
        self.mirrored.as_ref().map_or(self.motions.len(), |m| m.order())
    }

    /// Its mirrors, for a group of the hyperbolic plane or of four dimensions.
    fn mirrors(&self) -> Option<&Mirrored> {
        self.mirrored.as_deref()
    }

    /// The same group about another point: every motion carried along by a motion.
    #[must_use]
    pub fn carried(&self, by: &Affine) -> Option<Self> {
        let back = by.inverse()?;
        let motions = self.motions.iter().map(|m| back.then(m).then(by)).collect();
        let steps = self.steps.iter().map(|s| by.apply_direction(*s)).collect();
        Some(Self { motions, steps, ..self.clone() })
    }
}

/// Edges of the cell: a along x, b in the plane of x and y.
fn basis([a, b, c]: [f64; 3], [alpha, beta, gamma]: [f64; 3]) -> Result<[Vec3; 3], GroupFault> {
    // Angles of whole quarters and sixths without rounding, so that motions come out whole.
    let cos = |degrees: f64| match degrees {
        90.0 => 0.0,
        60.0 => 0.5,
        120.0 => -0.5,
        d => libm::cos(d.to_radians()),
    };
    let (ca, cb, cg) = (cos(alpha), cos(beta), cos(gamma));
    let sg = (1.0 - cg * cg).sqrt();
    let up = 1.0 - ca * ca - cb * cb - cg * cg + 2.0 * ca * cb * cg;
    if !(up > 1e-9 && sg > 1e-6 && [alpha, beta, gamma].iter().all(|d| *d < 180.0)) {
        return Err(GroupFault::Angles { alpha, beta, gamma });
    }
    let y = (ca - cb * cg) / sg;
    Ok([Vec3::new(a, 0.0, 0.0), Vec3::new(b * cg, b * sg, 0.0), Vec3::new(c * cb, c * y, c * up.sqrt() / sg)])
}

/// The motion in mm; `None` when the cell is not kept.
fn real(jones: &Jones, basis: &[Vec3; 3]) -> Option<Affine> {
    let to = Affine {
        rows: [0, 1, 2].map(|i| Vec3::new(basis[0][i], basis[1][i], basis[2][i])),
        shift: Vec3::ZERO,
    };
    let rows = jones.rows.map(|row| Vec3::from(row.map(f64::from)));
    let shift = Vec3::from(jones.shift.map(|s| f64::from(s) / f64::from(jones::PARTS)));
    let mut made = to.inverse()?.then(&Affine { rows, shift }).then(&to);
    for row in &mut made.rows {
        *row = Vec3::from(row.array().map(|k| if (k - k.round()).abs() < 1e-14 { k.round() } else { k }));
    }
    let columns = [0, 1, 2].map(|j| Vec3::new(made.rows[0][j], made.rows[1][j], made.rows[2][j]));
    let rigid = (0..3).all(|i| {
        (0..3).all(|j| {
            let want = if i == j { 1.0 } else { 0.0 };
            (columns[i].dot(columns[j]) - want).abs() < FITS
        })
    });
    rigid.then_some(made)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cubic() -> CellAsk {
        CellAsk { a: Some(7.0), ..CellAsk::default() }
    }

    /// Motions per cell. Source: International Tables for Crystallography A, as in section 5.2 of the check values.
    #[test]
    fn wallpapers_have_their_motions_by_every_name() {
        let table = [
            ("p1", "o", 1),
            ("p2", "2222", 2),
            ("pm", "**", 2),
            ("pg", "××", 2),
            ("cm", "*×", 4),
            ("p2mm", "*2222", 4),
            ("p2mg", "22*", 4),
            ("p2gg", "22×", 4),
            ("c2mm", "2*22", 8),
            ("p4", "442", 4),
            ("p4mm", "*442", 8),
            ("p4gm", "4*2", 8),
            ("p3", "333", 3),
            ("p3m1", "*333", 6),
            ("p31m", "3*3", 6),
            ("p6", "632", 6),
            ("p6mm", "*632", 12),
        ];
        for (symbol, orbifold, order) in table {
            for name in [symbol, orbifold] {
                let group = Group::named(name, &cubic()).unwrap();
                assert_eq!(
                    (group.order(), group.kind(), group.name()),
                    (order, Kind::Wallpaper, symbol),
                    "{name}"
                );
            }
        }
        let friezes = [
            ("frieze p1", "∞∞", 1),
            ("p11g", "∞×", 2),
            ("p1m1", "*∞∞", 2),
            ("frieze p2", "22∞", 2),
            ("frieze p2mg", "2*∞", 4),
            ("p11m", "∞*", 2),
            ("frieze p2mm", "*22∞", 4),
        ];
        for (symbol, orbifold, order) in friezes {
            for name in [symbol, orbifold] {
                let group = Group::named(name, &cubic()).unwrap();
                assert_eq!((group.order(), group.kind()), (order, Kind::Frieze), "{name}");
            }
        }
    }

    /// Conway's cost: digits and signs of the orbifold symbol add up to 2 for each group with steps (Conway, Huson 2002).
    #[test]
    fn orbifold_symbols_cost_two() {
        for plane in WALLPAPER.iter().chain(FRIEZE) {
            let (mut cost, mut corner) = (0.0, false);
            for c in plane.orbifold.chars() {
                let n = c.to_digit(10).map_or(f64::INFINITY, f64::from);
                cost += match c {
                    'o' => 2.0,
                    'x' => 1.0,
                    '*' => {
                        corner = true;
                        1.0
                    }
                    _ if corner => 0.5 * (1.0 - 1.0 / n),
                    _ => 1.0 - 1.0 / n,
                };
            }
            assert!((cost - 2.0_f64).abs() < 1e-12, "{}", plane.symbol);
        }
    }

    /// Counts. Source: section 5.3 of the check values (gemmi 0.7.5 and spglib 2.8.0 agree); the outside check
    /// compares every motion of every setting.
    #[test]
    fn the_space_groups_are_counted() {
        let mut usual: Vec<(Setting, Vec<Jones>)> = Vec::new();
        for setting in settings() {
            let all = jones::closure(&hall::generators(setting.hall).unwrap(), 200).unwrap();
            if usual.last().is_none_or(|(s, _)| s.number != setting.number) {
                usual.push((setting, all));
            }
        }
        assert_eq!(usual.len(), 230);
        let sohncke = usual.iter().filter(|(_, all)| all.iter().all(|j| j.determinant() == 1)).count();
        let inversion = |j: &Jones| j.rows == [[-1, 0, 0], [0, -1, 0], [0, 0, -1]];
        let central = usual.iter().filter(|(_, all)| all.iter().any(inversion)).count();
        assert_eq!((sohncke, central), (65, 92));
        for (symbol, order) in [
            ("P1", 1),
            ("P-1", 2),
            ("P21/c", 4),
            ("C2/c", 8),
            ("P212121", 4),
            ("Pnma", 8),
            ("Fddd", 32),
            ("P4/mmm", 16),
            ("I41/amd", 32),
            ("R-3m", 36),
            ("P6/mmm", 24),
            ("P63/mmc", 24),
            ("Pa-3", 24),
            ("P4332", 24),
            ("I4132", 48),
            ("P-43m", 24),
            ("F-43m", 96),
            ("I-43d", 48),
            ("Pm-3m", 48),
            ("Pn-3m", 48),
            ("Fm-3m", 192),
            ("Fd-3m", 192),
            ("Im-3m", 96),
            ("Ia-3d", 96),
        ] {
            let cell = CellAsk {
                a: Some(8.0),
                beta: (order < 9 && symbol.contains("/c")).then_some(100.0),
                ..CellAsk::default()
            };
            assert_eq!(Group::named(symbol, &cell).unwrap().order(), order, "{symbol}");
        }
        assert_eq!(Group::named("-I 4bd 2c 3", &cubic()).unwrap().order(), 96);
        // An origin of one's own: the same group, moved by so many twelfths of the cell.
        let moved = Group::named("P 4 2 (0 0 -1)", &cubic()).unwrap();
        let half_turn = Affine::turn(Vec3::new(1.0, 0.0, 0.0), std::f64::consts::PI).unwrap();
        let raised = half_turn.then(&Affine::shift(Vec3::new(0.0, 0.0, -7.0 / 6.0)));
        let p422 = Group::named("P422", &cubic()).unwrap();
        assert_eq!((moved.order(), p422.order()), (8, 8));
        let near = |g: &Group, m: &Affine| {
            g.motions().iter().any(|o| {
                let by = (o.shift - m.shift).array().map(|x| x / 7.0);
                point::same(&Affine { shift: m.shift, ..*o }, m)
                    && by.iter().all(|x| (x - x.round()).abs() < 1e-9)
            })
        };
        assert!(near(&moved, &raised) && near(&p422, &half_turn) && !near(&p422, &raised));
        assert_eq!(Group::named("B2/m", &cubic()).unwrap().name(), "B 1 1 2/m");
        assert_eq!(Group::numbered(230, &cubic()).unwrap().name(), "I a -3 d");
        assert_eq!(Group::named("Fd-3m:1", &cubic()).unwrap().order(), 192);
    }

    #[test]
    fn cells_must_suit() {
        let told = |symbol: &str, cell: CellAsk| Group::named(symbol, &cell).unwrap_err().to_string();
        let wide = CellAsk { a: Some(5.0), b: Some(6.0), ..CellAsk::default() };
        assert!(told("p4mm", wide).contains("a = b and right angles"), "{}", told("p4mm", wide));
        assert!(told("Ia-3d", wide).contains("a = b = c"));
        assert!(told("p6", CellAsk { gamma: Some(90.0), ..cubic() }).contains("γ = 120°"));
        let shut = CellAsk { alpha: Some(120.0), beta: Some(120.0), gamma: Some(150.0), ..cubic() };
        assert!(told("P1", shut).contains("no cell has the angles"));
        assert!(told("P1", CellAsk { a: Some(0.0), ..CellAsk::default() }).contains("`a`"));
        assert!(Group::named("p5", &cubic()).is_err() && Group::named("", &cubic()).is_err());
        assert_eq!(Group::numbered(231, &cubic()).unwrap_err(), GroupFault::Number(231));
        assert!(Group::generated(&["-y,x,z", "-x,-y,-z"], &cubic()).unwrap().order() == 8);
        assert!(Group::generated(&["y,x+1/7,z"], &cubic()).is_err());
        for (motions, order) in
            [(["-y,x-y,z", "-x,-y,-z"], 6), (["x,-z,y-z", "-x,-y,-z"], 6), (["z,x,y", "-x,-y,z"], 12)]
        {
            assert_eq!(Group::generated(&motions, &cubic()).unwrap().order(), order, "{motions:?}");
        }
        let high = CellAsk { a: Some(10.0), c: Some(12.0), ..CellAsk::default() };
        assert_eq!(Group::generated(&["-y, x-y, z", "-x, -y, -z"], &high).unwrap().order(), 6);
        let [alpha, beta, gamma] = [Some(70.0); 3];
        let rhomb = CellAsk { alpha, beta, gamma, ..cubic() };
        assert!(told("R-3m", rhomb).contains("write `R-3m:R`"), "{}", told("R-3m", rhomb));
        assert_eq!(Group::named("R-3m:R", &rhomb).unwrap().order(), 12);
    }
}

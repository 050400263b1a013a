//! The point groups of space: the seven infinite families for any n, and the seven of the regular solids.
//!
//! Names: A. Schoenflies (1891); C. Hermann and C. Mauguin (International Tables for Crystallography A, chapter 3.2, with
//! the general rules for any n); J. H. Conway's orbifold symbols (J. H. Conway, D. H. Huson, Structural Chemistry 13 (2002) 247).

use std::f64::consts::{PI, TAU};

use crate::base::{Affine, Vec3};

/// The greatest order of an axis.
pub(super) const MOST: u32 = 360;

/// A point group by its Schoenflies family.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Point {
    /// n turns about z.
    C(u32),
    /// With mirrors through z.
    Cv(u32),
    /// With a mirror across z.
    Ch(u32),
    /// The group of the turn by 1/(2n) followed by the mirror across z.
    S(u32),
    /// n turns about z, and half turns across.
    D(u32),
    /// With mirrors through z between the half turns.
    Dd(u32),
    /// With all mirrors of a prism.
    Dh(u32),
    /// The turns of the tetrahedron.
    T,
    /// All motions of the tetrahedron.
    Td,
    /// The turns of the tetrahedron with the inversion.
    Th,
    /// The turns of the cube.
    O,
    /// All motions of the cube.
    Oh,
    /// The turns of the icosahedron.
    I,
    /// All motions of the icosahedron.
    Ih,
}

impl Point {
    /// The group that a symbol names: Schoenflies, Hermann-Mauguin or orbifold.
    pub fn named(symbol: &str) -> Option<Self> {
        let found = schoenflies(symbol).or_else(|| orbifold(symbol)).or_else(|| hermann_mauguin(symbol))?;
        let n = match found {
            Self::C(n) | Self::Cv(n) | Self::Ch(n) | Self::S(n) | Self::D(n) | Self::Dd(n) | Self::Dh(n) => n,
            _ => 1,
        };
        (1..=MOST).contains(&n).then_some(found)
    }

    /// Number of motions.
    pub fn order(self) -> u32 {
        match self {
            Self::C(n) => n,
            Self::Cv(n) | Self::Ch(n) | Self::S(n) | Self::D(n) => 2 * n,
            Self::Dd(n) | Self::Dh(n) => 4 * n,
            Self::T => 12,
            Self::Td | Self::Th | Self::O => 24,
            Self::Oh => 48,
            Self::I => 60,
            Self::Ih => 120,
        }
    }

    /// All motions, the identity first.
    pub fn motions(self) -> Vec<Affine> {
        closure(&self.generators(), self.order() as usize)
    }

    fn generators(self) -> Vec<Affine> {
        let (x, z, diagonal) = (Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 0.0, 1.0), Vec3::splat(1.0));
        let golden = f64::midpoint(1.0, 5.0_f64.sqrt());
        let turn = |axis, n: u32| turn(axis, TAU / f64::from(n));
        let mirror = |normal| Affine::reflect(Vec3::ZERO, normal).unwrap_or(Affine::IDENTITY);
        let (across, through) = (mirror(z), mirror(Vec3::new(0.0, 1.0, 0.0)));
        let inversion = Affine::scale(Vec3::splat(-1.0));
        let diagonal_mirror = mirror(Vec3::new(1.0, -1.0, 0.0));
        match self {
            Self::C(n) => vec![turn(z, n)],
            Self::Cv(n) => vec![turn(z, n), through],
            Self::Ch(n) => vec![turn(z, n), across],
            Self::S(n) => vec![turn(z, 2 * n).then(&across)],
            Self::D(n) => vec![turn(z, n), turn(x, 2)],
            Self::Dd(n) => {
                let angle = 0.5 * PI / f64::from(n) + 0.5 * PI;
                vec![turn(z, n), turn(x, 2), mirror(Vec3::new(libm::cos(angle), libm::sin(angle), 0.0))]
            }
            Self::Dh(n) => vec![turn(z, n), turn(x, 2), across],
            Self::T => vec![turn(z, 2), turn(diagonal, 3)],
            Self::Td => vec![turn(z, 2), turn(diagonal, 3), diagonal_mirror],
            Self::Th => vec![turn(z, 2), turn(diagonal, 3), inversion],
            Self::O => vec![turn(z, 4), turn(diagonal, 3)],
            Self::Oh => vec![turn(z, 4), turn(diagonal, 3), inversion],
            Self::I | Self::Ih => {
                let five = turn(Vec3::new(0.0, 1.0, golden), 5);
                let mut all = vec![turn(z, 2), turn(diagonal, 3), five];
                all.extend((self == Self::Ih).then_some(inversion));
                all
            }
        }
    }
}

/// A turn about an axis through the origin; by a half or a quarter about a coordinate axis without rounding.
fn turn(axis: Vec3, angle: f64) -> Affine {
    let mut by = Affine::turn(axis, angle).unwrap_or(Affine::IDENTITY);
    for row in &mut by.rows {
        *row = Vec3::from(row.array().map(|k| if (k - k.round()).abs() < 1e-15 { k.round() } else { k }));
    }
    by
}

/// All products of generators; `most` is their number, so that rounding cannot make them endless.
pub(super) fn closure(generators: &[Affine], most: usize) -> Vec<Affine> {
    let mut found = vec![Affine::IDENTITY];
    let mut next = 0;
    while next < found.len() && found.len() < most {
        for g in generators {
            let made = found[next].then(g);
            if found.len() < most && !found.iter().any(|f| same(f, &made)) {
                found.push(made);
            }
        }
        next += 1;
    }
    found
}

/// True for motions that agree to a billionth.
pub(super) fn same(a: &Affine, b: &Affine) -> bool {
    let near = |u: Vec3, v: Vec3| (u - v).array().iter().all(|k| k.abs() < 1e-9);
    (0..3).all(|i| near(a.rows[i], b.rows[i])) && near(a.shift, b.shift)
}

/// `Cn`, `Cnv`, `Cnh`, `Sn`, `Dn`, `Dnd`, `Dnh`, `Cs`, `Ci`, `T`, `Td`, `Th`, `O`, `Oh`, `I`, `Ih`.
pub(super) fn schoenflies(symbol: &str) -> Option<Point> {
    Some(match symbol {
        "T" => Point::T,
        "Td" => Point::Td,
        "Th" => Point::Th,
        "O" => Point::O,
        "Oh" => Point::Oh,
        "I" => Point::I,
        "Ih" => Point::Ih,
        "Cs" => Point::Ch(1),
        "Ci" => Point::S(1),
        _ => {
            let (family, rest) = (symbol.get(..1)?, symbol.get(1..)?);
            let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
            let n: u32 = digits.parse().ok()?;
            match (family, rest.get(digits.len()..)?) {
                ("C", "") => Point::C(n),
                ("C", "v") => Point::Cv(n),
                ("C", "h") => Point::Ch(n),
                ("C", "i") if n % 2 == 1 => Point::S(n),
                ("S", "") if n.is_multiple_of(2) => Point::S(n / 2),
                ("S", "") => Point::Ch(n),
                ("D", "") => Point::D(n),
                ("D", "d") => Point::Dd(n),
                ("D", "h") => Point::Dh(n),
                _ => return None,
            }
        }
    })
}

/// Numbers of an orbifold symbol: single digits, or parted by blanks or points.
fn numbers(text: &str) -> Option<Vec<u32>> {
    if text.contains([' ', '.']) {
        return text.split([' ', '.']).filter(|t| !t.is_empty()).map(|t| t.parse().ok()).collect();
    }
    text.chars().map(|c| c.to_digit(10)).collect()
}

fn orbifold(symbol: &str) -> Option<Point> {
    let symbol = symbol.replace('×', "x");
    if let Some(corners) = symbol.strip_prefix('*') {
        return Some(match numbers(corners)?[..] {
            [] => Point::Ch(1),
            [n, m] if n == m => Point::Cv(n),
            _ => match about(&numbers(corners)?)? {
                Point::D(n) => Point::Dh(n),
                Point::T => Point::Td,
                Point::O => Point::Oh,
                _ => Point::Ih,
            },
        });
    }
    if let Some(turns) = symbol.strip_suffix('*') {
        let [n] = numbers(turns)?[..] else { return None };
        return Some(Point::Ch(n));
    }
    if let Some(turns) = symbol.strip_suffix('x') {
        return match numbers(turns)?[..] {
            [] => Some(Point::S(1)),
            [n] => Some(Point::S(n)),
            _ => None,
        };
    }
    if let Some((turns, corners)) = symbol.split_once('*') {
        return match (&numbers(turns)?[..], &numbers(corners)?[..]) {
            ([2], [n]) => Some(Point::Dd(*n)),
            ([3], [2]) => Some(Point::Th),
            _ => None,
        };
    }
    match numbers(&symbol)?[..] {
        [n, m] if n == m => Some(Point::C(n)),
        _ => about(&numbers(&symbol)?),
    }
}

/// Three kinds of turning points on the sphere.
fn about(numbers: &[u32]) -> Option<Point> {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    match sorted[..] {
        [2, 2, n] if n >= 2 => Some(Point::D(n)),
        [2, 3, 3] => Some(Point::T),
        [2, 3, 4] => Some(Point::O),
        [2, 3, 5] => Some(Point::I),
        _ => None,
    }
}

fn hermann_mauguin(symbol: &str) -> Option<Point> {
    let fixed = match symbol {
        "1" => Point::C(1),
        "-1" => Point::S(1),
        "m" => Point::Ch(1),
        "2/m" => Point::Ch(2),
        "mm2" | "2mm" | "m2m" => Point::Cv(2),
        "mmm" => Point::Dh(2),
        "23" => Point::T,
        "m-3" | "m3" => Point::Th,
        "-43m" => Point::Td,
        "m-3m" | "m3m" => Point::Oh,
        "235" | "532" | "25" => Point::I,
        "m-3-5" | "m-35" | "-5-32/m" | "53m" | "-53m" => Point::Ih,
        _ => {
            let (bar, rest) = match symbol.strip_prefix('-') {
                Some(rest) => (true, rest),
                None => (false, symbol),
            };
            let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
            // Of "622" and "32" the last figures are half turns across.
            let (digits, tail) = match (digits.strip_suffix("22"), digits.strip_suffix('2')) {
                (Some(n), _) if !bar && !n.is_empty() => (n.to_owned(), "22".to_owned()),
                (_, Some(n)) if !n.is_empty() && rest.len() == digits.len() && !bar => {
                    (n.to_owned(), "2".to_owned())
                }
                (_, Some(n)) if bar && !n.is_empty() => (n.to_owned(), format!("2{}", &rest[digits.len()..])),
                _ => (digits.clone(), rest[digits.len()..].to_owned()),
            };
            let n: u32 = digits.parse().ok()?;
            return family(bar, n, &tail);
        }
    };
    Some(fixed)
}

/// The families by an axis and what stands behind it.
fn family(bar: bool, n: u32, tail: &str) -> Option<Point> {
    let even = n.is_multiple_of(2);
    Some(match (bar, tail) {
        (false, "") => Point::C(n),
        (false, "/m") if even => Point::Ch(n),
        (false, "22") if even => Point::D(n),
        (false, "2") if !even => Point::D(n),
        (false, "mm") if even => Point::Cv(n),
        (false, "m") if !even => Point::Cv(n),
        (false, "/mmm") if even => Point::Dh(n),
        (true, "") => match n % 4 {
            0 => Point::S(n / 2),
            2 => Point::Ch(n / 2),
            _ => Point::S(n),
        },
        (true, "m") if !even => Point::Dd(n),
        (true, "2m" | "m2") if n.is_multiple_of(4) => Point::Dd(n / 2),
        (true, "2m" | "m2") if even => Point::Dh(n / 2),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Orders. Source: section 5.1 of the project's check values; the 32 crystal classes and their three names,
    /// International Tables for Crystallography A, table 3.2.3.
    #[test]
    fn the_crystal_classes_have_their_orders_by_every_name() {
        #[rustfmt::skip]
        let classes = [
            ("C1", "1", "11", 1), ("Ci", "-1", "×", 2), ("C2", "2", "22", 2), ("Cs", "m", "*", 2), ("C2h", "2/m", "2*", 4),
            ("D2", "222", "222", 4), ("C2v", "mm2", "*22", 4), ("D2h", "mmm", "*222", 8), ("C4", "4", "44", 4),
            ("S4", "-4", "2×", 4), ("C4h", "4/m", "4*", 8), ("D4", "422", "224", 8), ("C4v", "4mm", "*44", 8),
            ("D2d", "-42m", "2*2", 8), ("D4h", "4/mmm", "*224", 16), ("C3", "3", "33", 3), ("S6", "-3", "3×", 6),
            ("D3", "32", "223", 6), ("C3v", "3m", "*33", 6), ("D3d", "-3m", "2*3", 12), ("C6", "6", "66", 6),
            ("C3h", "-6", "3*", 6), ("C6h", "6/m", "6*", 12), ("D6", "622", "226", 12), ("C6v", "6mm", "*66", 12),
            ("D3h", "-6m2", "*223", 12), ("D6h", "6/mmm", "*226", 24), ("T", "23", "332", 12), ("Th", "m-3", "3*2", 24),
            ("O", "432", "432", 24), ("Td", "-43m", "*332", 24), ("Oh", "m-3m", "*432", 48),
        ];
        for (schoenflies, mauguin, orbifold, order) in classes {
            let group = Point::named(schoenflies).unwrap();
            assert_eq!(Point::named(mauguin), Some(group), "{mauguin}");
            assert_eq!(Point::named(orbifold), Some(group), "{orbifold}");
            assert_eq!(group.order(), order);
            assert_eq!(group.motions().len(), order as usize);
        }
        for (name, order) in [
            ("I", 60),
            ("Ih", 120),
            ("*532", 120),
            ("D7", 14),
            ("D9h", 36),
            ("-8", 8),
            ("-82m", 16),
            ("*2 2 12", 48),
            ("C360v", 720),
        ] {
            assert_eq!(Point::named(name).unwrap().motions().len(), order, "{name}");
        }
        for bad in ["", "Q", "C", "C0", "D361", "*23", "532x", "-", "5/m", "X3v", "∞"] {
            assert_eq!(Point::named(bad), None, "{bad}");
        }
    }

    /// The motions are closed under products, and each is one.
    #[test]
    fn closed_and_rigid() {
        for name in ["Ih", "Oh", "D5d", "S8", "C7v"] {
            let all = Point::named(name).unwrap().motions();
            for a in &all {
                assert!((a.determinant().abs() - 1.0).abs() < 1e-12);
                assert!(all.iter().step_by(7).all(|b| all.iter().any(|c| same(c, &a.then(b)))), "{name}");
            }
        }
    }
}

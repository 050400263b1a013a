//! The 230 space groups by their Hall symbols.
//!
//! Source: S. R. Hall, Space-group notation with an explicit origin, Acta Cryst. A37 (1981) 517; the tables of axes and
//! translations as in International Tables for Crystallography B, appendix A1.4.2.

use super::jones::{Jones, PARTS};

/// The listed settings.
const TABLE: &str = include_str!("space.txt");

/// A setting of a space group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Its number, 1 to 230.
    pub number: u32,
    /// Its Hall symbol.
    pub hall: &'static str,
    /// Its full Hermann-Mauguin symbol, with the choice of origin or axes after a colon.
    pub symbol: &'static str,
}

/// Every listed setting, by number; the usual one of each number first.
pub fn settings() -> impl Iterator<Item = Setting> {
    TABLE.lines().filter(|line| !line.starts_with('#')).filter_map(|line| {
        let mut parts = line.split('|');
        Some(Setting { number: parts.next()?.parse().ok()?, hall: parts.next()?, symbol: parts.next()? })
    })
}

/// The setting that a Hermann-Mauguin or Hall symbol names: blanks and underscores do not matter, and of monoclinic
/// symbols the ones that stand for "1" may be left out. A double glide, as in "Cmce", is either of the glides that
/// were printed until 1992 (P. M. de Wolff et al., Acta Cryst. A48 (1992) 727).
pub fn setting(symbol: &str) -> Option<Setting> {
    let plain = |text: &str| text.chars().filter(|c| !" _".contains(*c)).collect::<String>();
    let asked = plain(symbol);
    let short = |s: &Setting| {
        let (body, choice) = s.symbol.split_once(':').unwrap_or((s.symbol, ""));
        let kept: Vec<&str> = body.split(' ').collect();
        // "P 1 21/c 1" is usually written P21/c.
        let kept = match kept[..] {
            [lattice, "1", one, "1"] if (3..=15).contains(&s.number) => vec![lattice, one],
            // "B 1 1 2/m" was B2/m (International Tables, 1952).
            ["B", "1", "1", one] if one.contains('/') => vec!["B", one],
            _ => kept,
        };
        (kept.concat(), choice)
    };
    let hits = |s: &Setting| {
        let (body, choice) = short(s);
        plain(s.symbol) == asked || body == asked || format!("{body}:{choice}") == asked
    };
    let double = |s: &Setting| {
        let (body, choice) = short(s);
        with_double_glide(s.number, &body).is_some_and(|b| b == asked || format!("{b}:{choice}") == asked)
    };
    settings()
        .find(|s| hits(s) && !s.symbol.contains(':'))
        .or_else(|| settings().find(hits))
        .or_else(|| settings().find(double))
        .or_else(|| settings().find(|s| s.hall.replace(' ', "") == asked || s.hall == symbol))
}

/// The symbol with e for the glide that goes both ways, in the groups that have one: across the edge that the lattice's
/// letter names.
fn with_double_glide(number: u32, symbol: &str) -> Option<String> {
    let at = "ABC".find(symbol.chars().next()?)? + 1;
    let glides = [39, 41, 64, 67, 68].contains(&number) && "abc".contains(symbol.get(at..=at)?);
    glides.then(|| format!("{}e{}", &symbol[..at], &symbol[at + 1..]))
}

/// The listed setting of a Hall symbol with an origin of its own, "P 4 2 (0 0 -1)", and the generators about that origin.
pub(super) fn with_origin(symbol: &str) -> Option<(Setting, Vec<Jones>)> {
    let body = symbol[..symbol.find('(')?].trim();
    Some((settings().find(|s| s.hall == body)?, generators(symbol)?))
}

/// The motions of a setting, in the coordinates of its cell.
pub fn motions_of(setting: &Setting) -> Option<Vec<Jones>> {
    super::jones::closure(&generators(setting.hall)?, 200)
}

/// The generators that a Hall symbol stands for, centring included.
pub fn generators(hall: &str) -> Option<Vec<Jones>> {
    let (body, shift) = match hall.split_once('(') {
        Some((body, rest)) => (body, origin(rest.strip_suffix(')')?)?),
        None => (hall, [0; 3]),
    };
    let mut words = body.split_whitespace();
    let lattice = words.next()?;
    let (central, lattice) = match lattice.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, lattice),
    };
    let mut found: Vec<Jones> =
        centring(lattice)?.into_iter().map(|shift| Jones { shift, ..Jones::IDENTITY }).collect();
    if central {
        found.push(Jones { rows: [[-1, 0, 0], [0, -1, 0], [0, 0, -1]], shift: [0; 3] });
    }
    let mut orders: Vec<i32> = Vec::new();
    for word in words {
        let (motion, order) = rotation(word, &orders)?;
        found.push(motion);
        orders.push(order);
    }
    // A change of origin by v turns x → R x + t into x → R x + t + v - R v.
    let moved = |j: &Jones| {
        let mut out = *j;
        for i in 0..3 {
            let turned: i32 = (0..3).map(|k| j.rows[i][k] * shift[k]).sum();
            out.shift[i] = (j.shift[i] + shift[i] - turned).rem_euclid(PARTS);
        }
        out
    };
    Some(found.iter().map(moved).collect())
}

/// The change of origin, given in twelfths.
fn origin(text: &str) -> Option<[i32; 3]> {
    let numbers: Vec<i32> = text.split_whitespace().map(|n| n.parse::<i32>().ok()).collect::<Option<_>>()?;
    let [a, b, c] = numbers[..] else { return None };
    let in_range = [a, b, c].iter().all(|k| k.abs() <= 12);
    in_range.then(|| [a, b, c].map(|k| k * PARTS / 12))
}

fn centring(letter: &str) -> Option<Vec<[i32; 3]>> {
    let (h, t) = (PARTS / 2, PARTS / 3);
    Some(match letter {
        "P" => vec![],
        "A" => vec![[0, h, h]],
        "B" => vec![[h, 0, h]],
        "C" => vec![[h, h, 0]],
        "I" => vec![[h, h, h]],
        "F" => vec![[0, h, h], [h, 0, h]],
        "R" => vec![[2 * t, t, t], [t, 2 * t, 2 * t]],
        _ => return None,
    })
}

/// One rotation: "-4vw", "2'", "3*", "61".
fn rotation(word: &str, before: &[i32]) -> Option<(Jones, i32)> {
    let (improper, rest) = match word.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, word),
    };
    let order = rest.chars().next()?.to_digit(10)? as i32;
    let (mut axis, mut shift, mut screw) = (None, [0; 3], 0);
    let (h, q) = (PARTS / 2, PARTS / 4);
    for c in rest.chars().skip(1) {
        match c {
            'x' | 'y' | 'z' | '\'' | '"' | '*' => {
                // A prime after x, y or z chooses a diagonal about it.
                axis = Some(match (axis, c) {
                    (Some(principal @ ('x' | 'y' | 'z')), '\'' | '"') => (Some(principal), c).1,
                    _ => c,
                });
            }
            'a' => shift[0] += h,
            'b' => shift[1] += h,
            'c' => shift[2] += h,
            'n' => shift = shift.map(|s| s + h),
            'u' => shift[0] += q,
            'v' => shift[1] += q,
            'w' => shift[2] += q,
            'd' => shift = shift.map(|s| s + q),
            '1'..='5' => screw = c as i32 - '0' as i32,
            _ => return None,
        }
    }
    let principal = rest.chars().find(|c| "xyz".contains(*c)).and_then(|c| "xyz".find(c)).unwrap_or(2);
    let axis = axis.unwrap_or(match (before.len(), order) {
        (1, 2) if before[0] == 3 || before[0] == 6 => '\'',
        (1, 2) => 'x',
        (2, 3) => '*',
        _ => 'z',
    });
    let mut rows = match axis {
        '*' => (order == 3).then_some([[0, 0, 1], [1, 0, 0], [0, 1, 0]])?,
        '\'' | '"' if order == 2 => {
            let k = if axis == '\'' { -1 } else { 1 };
            about([[0, k, 0], [k, 0, 0], [0, 0, -1]], principal)
        }
        'x' | 'y' | 'z' => {
            let along = "xyz".find(axis)?;
            if screw > 0 {
                shift[along] += screw * PARTS / order.max(1);
            }
            about(turn(order)?, along)
        }
        _ => return None,
    };
    if improper {
        rows = rows.map(|row| row.map(|k| -k));
    }
    Some((Jones { rows, shift: shift.map(|s| s.rem_euclid(PARTS)) }, order))
}

/// The turn of an order about z.
fn turn(order: i32) -> Option<[[i32; 3]; 3]> {
    let (a, b, c, d) = match order {
        1 => (1, 0, 0, 1),
        2 => (-1, 0, 0, -1),
        3 => (0, -1, 1, -1),
        4 => (0, -1, 1, 0),
        6 => (1, -1, 1, 0),
        _ => return None,
    };
    Some([[a, b, 0], [c, d, 0], [0, 0, 1]])
}

/// The matrix about z carried to another axis by the cyclic exchange of x, y, z.
fn about(rows: [[i32; 3]; 3], axis: usize) -> [[i32; 3]; 3] {
    let mut out = [[0; 3]; 3];
    for i in 0..3 {
        for j in 0..3 {
            out[(i + axis + 1) % 3][(j + axis + 1) % 3] = rows[i][j];
        }
    }
    out
}

//! Symbols of groups as they are printed and typed: figures set low, bars over figures, old short forms.

/// A symbol in plain characters: low figures beside the others, a bar over a figure as a sign before it.
pub(super) fn typed(symbol: &str) -> String {
    if let Some(pointed) = pointed(symbol) {
        return pointed;
    }
    let mut out: Vec<char> = Vec::with_capacity(symbol.len());
    for c in symbol.chars() {
        match c {
            '₀'..='₉' => out.extend(char::from_digit(c as u32 - '₀' as u32, 10)),
            'ᵥ' => out.push('v'),
            'ₕ' => out.push('h'),
            'ᵢ' => out.push('i'),
            'ₛ' => out.push('s'),
            '\u{2212}' | '\u{2010}'..='\u{2013}' => out.push('-'),
            // A bar that combines with the figure before it.
            '\u{304}' | '\u{305}' => {
                let at = out.len().saturating_sub(1);
                out.insert(at, '-');
            }
            c => out.push(c),
        }
    }
    // Schoenflies as TeX sets it, "C_{5v}".
    if matches!(out[..], ['C' | 'D' | 'S' | 'T' | 'O' | 'I', '_', ..]) {
        out.retain(|c| !"_{}".contains(*c));
    }
    if out.first().is_some_and(char::is_ascii_uppercase) {
        set_up(&mut out);
    }
    let plain: String = out.into_iter().collect();
    plain.trim().to_owned()
}

/// Low figures in brackets behind another figure, "4(2)", set beside it.
fn set_up(symbol: &mut Vec<char>) {
    let mut at = 1;
    while at + 2 < symbol.len() {
        if let [before, '(', low, ')'] = symbol[at - 1..at + 3]
            && before.is_ascii_digit()
            && low.is_ascii_digit()
        {
            symbol.splice(at..at + 3, [low]);
        }
        at += 1;
    }
}

/// The full form of a symbol with the mark of data bases for its origin or axes behind it: "Fd-3m S" for the first
/// origin, "Fd-3m:Z" for the second, "R-3mR" and "R-3m:h" for the axes.
pub(super) fn with_choice(symbol: &str) -> Option<String> {
    let last = symbol.chars().last()?;
    let choice = match last.to_ascii_uppercase() {
        'S' => "1",
        'Z' => "2",
        'H' => "H",
        'R' => "R",
        _ => return None,
    };
    let body = symbol[..symbol.len() - 1].trim_end();
    let marked = last.is_ascii_uppercase() || body.ends_with(':');
    (marked && body.len() > 1).then(|| format!("{}:{choice}", body.trim_end_matches(':').trim_end()))
}

/// An orbifold symbol with numbers of two figures and more in brackets, "*22(17)", with a point after every number.
fn pointed(symbol: &str) -> Option<String> {
    if !symbol.contains('(') || !symbol.chars().all(|c| "*x×∞()0123456789".contains(c)) {
        return None;
    }
    let mut out = String::new();
    let mut inside = false;
    for c in symbol.chars() {
        match c {
            '(' | ')' => {
                inside = c == '(';
                out.extend((!inside).then_some('.'));
            }
            c => {
                out.push(c);
                out.extend((!inside && c.is_ascii_digit()).then_some('.'));
            }
        }
    }
    Some(out)
}

/// The full form of a cubic symbol in the short form that was printed until 1983, without the bar over 3: "Fd3m", "Pa3".
pub(super) fn with_bars(symbol: &str) -> Option<String> {
    let at = symbol.find(|c: char| "mnabcd".contains(c))?;
    let (head, tail) = symbol.split_at(at + 1);
    tail.trim_start().starts_with('3').then(|| format!("{head}-{}", tail.trim_start()))
}

/// Whether a symbol of single figures is that of turns of the hyperbolic plane: what its turning points cost is more than 2
/// (J. H. Conway, D. H. Huson, Structural Chemistry 13 (2002) 247).
pub(super) fn turns_the_hyperbolic_plane(symbol: &str) -> bool {
    let figures: Option<Vec<u32>> = symbol.chars().map(|c| c.to_digit(10)).collect();
    figures.is_some_and(|all| {
        // "422" and "622" are told of elsewhere: their cost is below 2.
        let cost: f64 = all.iter().map(|n| 1.0 - 1.0 / f64::from((*n).max(1))).sum();
        all.len() > 2 && all.iter().all(|n| *n > 1) && cost > 2.0 + 1e-9
    })
}

#[cfg(test)]
mod tests {
    use super::super::{CellAsk, Group, Kind};
    use super::*;

    /// Printed symbols. Source: International Tables for Crystallography A, and its edition of 1952 for the short forms.
    #[test]
    fn printed_symbols_are_read() {
        for (printed, plain, order) in [
            ("P2₁/c", "P 1 21/c 1", 4),
            ("I4₁/amd", "I 41/a m d:2", 32),
            ("P6₃/mmc", "P 63/m m c", 24),
            ("Fd3\u{305}m", "F d -3 m:2", 192),
            ("Pm3\u{304}m", "P m -3 m", 48),
            ("Fd\u{2212}3m", "F d -3 m:2", 192),
            ("Fd3m", "F d -3 m:2", 192),
            ("Ia3d", "I a -3 d", 96),
            ("Pa3", "P a -3", 24),
            ("P3m1", "P 3 m 1", 6),
            ("P4(2)/mnm", "P 42/m n m", 16),
            ("P2(1)2(1)2(1)", "P 21 21 21", 4),
            ("Fd-3m S", "F d -3 m:1", 192),
            ("Fd-3m:S", "F d -3 m:1", 192),
            ("Fd-3mZ", "F d -3 m:2", 192),
            ("Fd3m:Z", "F d -3 m:2", 192),
            ("R-3mR", "R -3 m:R", 12),
            ("R-3m:h", "R -3 m:H", 36),
        ] {
            let group = Group::named(printed, &CellAsk::default()).unwrap();
            assert_eq!((group.kind(), group.name(), group.order()), (Kind::Space, plain, order), "{printed}");
        }
        for (schoenflies, order) in [("C_{5v}", 10), ("D_{3h}", 12), ("T_d", 24), ("C₅ᵥ", 10), ("Oₕ", 48)]
        {
            let group = Group::named(schoenflies, &CellAsk::default()).unwrap();
            assert_eq!((group.kind(), group.order()), (Kind::Point, order), "{schoenflies}");
        }
        for (orbifold, order) in [("*22(17)", 68), ("22(12)", 24), ("(12)(12)", 12), ("2*(10)", 40)] {
            let group = Group::named(orbifold, &CellAsk::default()).unwrap();
            assert_eq!((group.kind(), group.order()), (Kind::Point, order), "{orbifold}");
        }
    }

    /// Symbols with a double glide, and those before. Source: P. M. de Wolff et al., Acta Cryst. A48 (1992) 727;
    /// International Tables for Crystallography A (2016), table 1.5.4.4.
    #[test]
    fn double_glides_are_read() {
        for (number, today, before) in [
            (39, "Aem2", "A b m 2"),
            (39, "C2me", "C 2 m b"),
            (39, "Ae2m", "A c 2 m"),
            (41, "A e a 2", "A b a 2"),
            (41, "B2eb", "B 2 c b"),
            (64, "Cmce", "C m c a"),
            (64, "Ccme", "C c m b"),
            (64, "Bmeb", "B m a b"),
            (67, "Cmme", "C m m a"),
            (67, "Aemm", "A b m m"),
            (68, "Ccce", "C c c a:2"),
            (68, "Ccce:1", "C c c a:1"),
        ] {
            let setting = super::super::hall::setting(today).unwrap();
            assert_eq!((setting.number, setting.symbol), (number, before), "{today}");
            assert_eq!(Group::named(today, &CellAsk::default()).unwrap().name(), before, "{today}");
        }
        for none in ["Ceca", "Cmem", "Pmme", "Aeem", "Fmme"] {
            assert!(super::super::hall::setting(none).is_none(), "{none}");
        }
    }

    #[test]
    fn turns_of_the_hyperbolic_plane_are_told_from_others() {
        assert!(turns_the_hyperbolic_plane("732") && turns_the_hyperbolic_plane("22222"));
        for other in ["632", "532", "422", "622", "32", "2222", "*732", "1222"] {
            assert!(!turns_the_hyperbolic_plane(other), "{other}");
        }
    }
}

//! Prime knots through eight crossings, and some links, by their names in the tables.
//!
//! Sources: D. Rolfsen, Knots and Links (1976), appendix C (names, Alexander polynomials); V. F. R. Jones, Annals of
//! Mathematics 126 (1987) 335, table at the end (braid words). Of a knot and its mirror image the one is kept whose
//! word begins with positive letters; names do not tell them apart.

/// A knot or link of the tables.
#[derive(Clone, Copy, Debug)]
pub struct Tabled {
    /// As in the tables: crossings, then the place among the knots of as many; links with strands above.
    pub name: &'static str,
    /// A braid word that closes to it.
    pub word: &'static [i64],
    /// Coefficients of its Alexander polynomial.
    pub alexander: &'static [i64],
}

/// All that are kept.
#[rustfmt::skip]
pub const TABLE: &[Tabled] = &[
    Tabled { name: "3_1", word: &[1, 1, 1], alexander: &[1, -1, 1] },
    Tabled { name: "4_1", word: &[1, -2, 1, -2], alexander: &[1, -3, 1] },
    Tabled { name: "5_1", word: &[1, 1, 1, 1, 1], alexander: &[1, -1, 1, -1, 1] },
    Tabled { name: "5_2", word: &[1, 1, 1, 2, -1, 2], alexander: &[2, -3, 2] },
    Tabled { name: "6_1", word: &[1, 1, 2, -1, -3, 2, -3], alexander: &[2, -5, 2] },
    Tabled { name: "6_2", word: &[1, 1, 1, -2, 1, -2], alexander: &[1, -3, 3, -3, 1] },
    Tabled { name: "6_3", word: &[1, 1, -2, 1, -2, -2], alexander: &[1, -3, 5, -3, 1] },
    Tabled { name: "7_1", word: &[1, 1, 1, 1, 1, 1, 1], alexander: &[1, -1, 1, -1, 1, -1, 1] },
    Tabled { name: "7_2", word: &[1, 1, 1, 2, -1, 2, 3, -2, 3], alexander: &[3, -5, 3] },
    Tabled { name: "7_3", word: &[1, 1, 1, 1, 1, 2, -1, 2], alexander: &[2, -3, 3, -3, 2] },
    Tabled { name: "7_4", word: &[1, 1, 2, -1, 2, 2, 3, -2, 3], alexander: &[4, -7, 4] },
    Tabled { name: "7_5", word: &[1, 1, 1, 1, 2, -1, 2, 2], alexander: &[2, -4, 5, -4, 2] },
    Tabled { name: "7_6", word: &[1, 1, -2, 1, 3, -2, 3], alexander: &[1, -5, 7, -5, 1] },
    Tabled { name: "7_7", word: &[-1, 2, -1, 2, -3, 2, -3], alexander: &[1, -5, 9, -5, 1] },
    Tabled { name: "8_1", word: &[1, 1, 2, -1, 2, 3, -2, -4, 3, -4], alexander: &[3, -7, 3] },
    Tabled { name: "8_2", word: &[1, 1, 1, 1, 1, -2, 1, -2], alexander: &[1, -3, 3, -3, 3, -3, 1] },
    Tabled { name: "8_3", word: &[1, 1, 2, -1, -3, 2, -3, -4, 3, -4], alexander: &[4, -9, 4] },
    Tabled { name: "8_4", word: &[1, 1, 1, -2, 1, -2, -3, 2, -3], alexander: &[2, -5, 5, -5, 2] },
    Tabled { name: "8_5", word: &[1, 1, 1, -2, 1, 1, 1, -2], alexander: &[1, -3, 4, -5, 4, -3, 1] },
    Tabled { name: "8_6", word: &[1, 1, 1, 1, 2, -1, -3, 2, -3], alexander: &[2, -6, 7, -6, 2] },
    Tabled { name: "8_7", word: &[1, 1, 1, 1, -2, 1, -2, -2], alexander: &[1, -3, 5, -5, 5, -3, 1] },
    Tabled { name: "8_8", word: &[1, 1, 1, 2, -1, -3, 2, -3, -3], alexander: &[2, -6, 9, -6, 2] },
    Tabled { name: "8_9", word: &[1, 1, 1, -2, 1, -2, -2, -2], alexander: &[1, -3, 5, -7, 5, -3, 1] },
    Tabled { name: "8_10", word: &[1, 1, 1, -2, 1, 1, -2, -2], alexander: &[1, -3, 6, -7, 6, -3, 1] },
    Tabled { name: "8_11", word: &[1, 1, 2, -1, 2, 2, -3, 2, -3], alexander: &[2, -7, 9, -7, 2] },
    Tabled { name: "8_12", word: &[1, -2, 1, 3, -2, -4, 3, -4], alexander: &[1, -7, 13, -7, 1] },
    Tabled { name: "8_13", word: &[1, 1, -2, 1, -2, -2, -3, 2, -3], alexander: &[2, -7, 11, -7, 2] },
    Tabled { name: "8_14", word: &[1, 1, 1, 2, -1, 2, -3, 2, -3], alexander: &[2, -8, 11, -8, 2] },
    Tabled { name: "8_15", word: &[1, 1, -2, 1, 3, 2, 2, 2, 3], alexander: &[3, -8, 11, -8, 3] },
    Tabled { name: "8_16", word: &[1, 1, -2, 1, 1, -2, 1, -2], alexander: &[1, -4, 8, -9, 8, -4, 1] },
    Tabled { name: "8_17", word: &[1, 1, -2, 1, -2, 1, -2, -2], alexander: &[1, -4, 8, -11, 8, -4, 1] },
    Tabled { name: "8_18", word: &[1, -2, 1, -2, 1, -2, 1, -2], alexander: &[1, -5, 10, -13, 10, -5, 1] },
    Tabled { name: "8_19", word: &[1, 1, 1, 2, 1, 1, 1, 2], alexander: &[1, -1, 0, 1, 0, -1, 1] },
    Tabled { name: "8_20", word: &[1, 1, 1, -2, -1, -1, -1, -2], alexander: &[1, -2, 3, -2, 1] },
    Tabled { name: "8_21", word: &[1, 1, 1, 2, -1, -1, 2, 2], alexander: &[1, -4, 5, -4, 1] },
    Tabled { name: "2^2_1", word: &[1, 1], alexander: &[-1, 1] },
    Tabled { name: "4^2_1", word: &[1, 1, 1, 1], alexander: &[-1, 1, -1, 1] },
    Tabled { name: "5^2_1", word: &[1, -2, 1, -2, -2], alexander: &[-1, 3, -3, 1] },
    Tabled { name: "6^3_2", word: &[1, -2, 1, -2, 1, -2], alexander: &[1, -4, 6, -4, 1] },
];

/// Links of the table by their names in the later table of links, which M. B. Thistlethwaite made.
/// Source: D. Bar-Natan, S. Morrison et al., The Knot Atlas, The Thistlethwaite Link Table.
const LATER_NAMES: &[(&str, &str)] =
    &[("L2a1", "2^2_1"), ("L4a1", "4^2_1"), ("L5a1", "5^2_1"), ("L6a4", "6^3_2")];

/// The name of the plain ring, which no braid word of the table closes to.
pub const UNKNOT: &str = "0_1";

/// Names that are in use beside those of the tables, without "knot", "link" or "rings".
/// Source: C. C. Adams, The Knot Book (1994).
const COMMON: &[(&str, &str)] = &[
    ("unknot", UNKNOT),
    ("trefoil", "3_1"),
    ("figure eight", "4_1"),
    ("cinquefoil", "5_1"),
    ("stevedore", "6_1"),
    ("hopf", "2^2_1"),
    ("whitehead", "5^2_1"),
    ("borromean", "6^3_2"),
];

/// The name in the table for any name that is in use; others as they are.
pub fn table_name(name: &str) -> &str {
    let plain = name.trim().to_lowercase().replace('-', " ");
    let short = [" knot", " link", " rings"].iter().find_map(|end| plain.strip_suffix(end)).unwrap_or(&plain);
    let known = LATER_NAMES.iter().find(|n| n.0.eq_ignore_ascii_case(&plain));
    known.or_else(|| COMMON.iter().find(|n| n.0 == short)).map_or(name, |n| n.1)
}

/// True for the name of a knot or link that the table holds.
pub fn is_tabled(name: &str) -> bool {
    let name = table_name(name);
    name == UNKNOT || TABLE.iter().any(|t| t.name == name)
}

/// The names in use beside those of the tables.
pub fn common_names() -> impl Iterator<Item = &'static str> {
    COMMON.iter().map(|n| n.0)
}

/// Words that repeat more often than those of the table: the closed braid looks alike after that part of a turn.
/// Torus knots and links (p, q) are the closed braids of (1 2 … p-1) repeated q times (D. Rolfsen, Knots and Links (1976),
/// section 3C).
pub const SYMMETRIC: &[(&str, usize, &[i64])] = &[("8_19", 4, &[1, 2]), ("8_19", 3, &[1, 2, 3])];

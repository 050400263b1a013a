//! Where the points of crystal nets lie, by three-letter symbols.
//!
//! Source: M. O'Keeffe, M. A. Peskov, S. J. Ramsden, O. M. Yaghi, Acc. Chem. Res. 41 (2008) 1782: the space group, the
//! site and the shape of the cell of each.

/// Space group, cell (a is 1), sites in parts of the cell; edges are the shortest distances between points that they join.
pub(super) struct Entry {
    pub(super) symbol: &'static str,
    pub(super) group: &'static str,
    /// c over a; 0 in the plane.
    pub(super) c: f64,
    pub(super) sites: Vec<[f64; 3]>,
    pub(super) links: Links,
}

/// Which kinds of points edges join.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Links {
    /// Any.
    All,
    /// One kind with the other.
    Across,
    /// The first with the first too.
    First,
}

impl Links {
    /// Whether edges join points of two kinds.
    pub(super) fn join(self, [a, b]: [usize; 2]) -> bool {
        self == Self::All || a != b || (self == Self::First && a == 0)
    }
}

/// The nets, by symbol: of space, then of the plane.
pub const SYMBOLS: &[&str] = &[
    "srs", "ths", "dia", "lon", "nbo", "sod", "qtz", "lcv", "rho", "lta", "bnn", "cab", "pcu", "crs", "lcy",
    "bcu", "hex", "reo", "fcu", "hcp", "hcb", "kgm", "sql", "hxl", "fes", "hca", "fxt", "tts", "cem", "fsz",
    "htb", "acs", "cds", "fau", "gis", "bor", "ctn", "flu", "ftw", "gar", "ith", "nia", "pto", "pts", "pyr",
    "rtl", "tbo", "lvt", "pcb", "crb", "bto", "sqp", "bct", "hms", "gra", "alb", "mgc", "spn", "the", "scu",
    "shp", "ocu", "twf", "rht", "ttt", "toc", "she", "stp", "ant", "kgd",
];

/// Nets that are honeycombs of polyhedra: truncated cuboctahedra and octagonal prisms (the zeolite frame RHO); these, truncated
/// octahedra and cubes (LTA); truncated cubes and octahedra (calcium hexaboride).
pub(super) const HONEYCOMBS: &[(&str, &str)] = &[("rho", "1111"), ("lta", "1110"), ("cab", "1100")];

/// Nets that are edges of tilings.
pub(super) const TILINGS: &[(&str, &str)] = &[
    ("fes", "4.8.8"),
    ("hca", "3.12.12"),
    ("fxt", "4.6.12"),
    ("tts", "3.3.4.3.4"),
    ("cem", "3.3.3.4.4"),
    ("fsz", "3.3.3.3.6"),
    ("htb", "3.4.6.4"),
];

/// What a list of pairs has for a symbol.
pub(super) fn among(
    list: &[(&'static str, &'static str)],
    symbol: &str,
) -> Option<(&'static str, &'static str)> {
    list.iter().find(|(s, _)| *s == symbol).copied()
}

/// Nets of one kind of points.
fn of_one(symbol: &str) -> Option<(&'static str, f64, Vec<[f64; 3]>)> {
    let (third, eight_thirds) = (1.0_f64 / 3.0, (8.0_f64 / 3.0).sqrt());
    let (group, c, site) = match symbol {
        "srs" => ("I4132", 1.0, [0.125, 0.125, 0.125]),
        "dia" => ("Fd-3m:1", 1.0, [0.0, 0.0, 0.0]),
        "lon" => ("P63/mmc", eight_thirds, [third, 2.0 * third, 1.0 / 16.0]),
        "nbo" => ("Im-3m", 1.0, [0.0, 0.5, 0.5]),
        "sod" => ("Im-3m", 1.0, [0.25, 0.0, 0.5]),
        "qtz" => ("P6222", 3.0_f64.sqrt() / eight_thirds, [0.5, 0.0, 0.0]),
        // Two layers of a honeycomb turned by a quarter, upright edges between: all angles 120°, c/a = 2√3.
        "ths" => ("I41/amd:1", 12.0_f64.sqrt(), [0.0, 0.0, 5.0 / 12.0]),
        // Layers of hexagons, and of triangles, one above another.
        "bnn" => ("P6/mmm", third.sqrt(), [third, 2.0 * third, 0.0]),
        "hex" => ("P6/mmm", 1.0, [0.0; 3]),
        "hcp" => ("P63/mmc", eight_thirds, [third, 2.0 * third, 0.25]),
        "lcy" => ("P4132", 1.0, [0.375; 3]),
        "pcu" => ("Pm-3m", 1.0, [0.0; 3]),
        "bcu" => ("Im-3m", 1.0, [0.0; 3]),
        "fcu" => ("Fm-3m", 1.0, [0.0; 3]),
        "lcv" => ("I4132", 1.0, [0.125, 0.0, 0.25]),
        // Truncated octahedra about the points of dia, joined by hexagonal prisms, with edges of 1 in a cell of 4 (√6 + 1)/√3.
        "fau" => {
            let part = (3.0 / 8.0_f64).sqrt() / (2.0 * (6.0_f64.sqrt() + 1.0));
            ("Fd-3m:1", 1.0, [0.0, part, 2.0 * part])
        }
        // Rings of four in double chains, as in gismondine: four edges alike where x is 5/32.
        "gis" => ("I41/amd:1", 1.0, [5.0 / 32.0, 5.0 / 32.0, 0.0]),
        // Three edges up and three down, those of each side at right angles.
        "acs" => ("P63/mmc", (2.0 * third).sqrt(), [third, 2.0 * third, 0.25]),
        // Octahedra and cuboctahedra side by side; tetrahedra that share corners.
        "reo" => ("Pm-3m", 1.0, [0.5, 0.0, 0.0]),
        "crs" => ("Fd-3m:2", 1.0, [0.0; 3]),
        // Four edges in a rectangle, all of one kind; the cell of a volume as large as may be has c = a.
        "lvt" => ("I41/amd:2", 1.0, [0.0; 3]),
        // Cubes at the points of bcu, corner to corner, edge 2x = √3 (1/2 - 2x).
        "pcb" => ("Im-3m", 1.0, [0.25 * 3.0_f64.sqrt() / (1.0 + 3.0_f64.sqrt()); 3]),
        // Squares side by side, each half a cell above the next: of all cells with equal edges, side 2x = 1/(2 + s), the largest has
        // 3s² + 2s = 4.
        "crb" => {
            let s = (13.0_f64.sqrt() - 1.0) / 3.0;
            let x = 0.5 / (2.0 + s);
            ("I4/mmm", 4.0 * x * (1.0 - 0.5 * s * s).sqrt(), [x, x, 0.0])
        }
        // Zigzags in layers turned by a third, upright edges between: all angles 120°.
        "bto" => ("P6222", 1.5 * 3.0_f64.sqrt(), [0.5, 0.0, 1.0 / 9.0]),
        // Pairs one above the other, each point with four of the next: the largest cell with equal edges.
        "sqp" => ("I4/mmm", 2.0, [0.0, 0.0, 0.1875]),
        "bct" => ("I4/mmm", (2.0 * third).sqrt(), [0.0; 3]),
        // Nets of the plane, in the plane z = 0.
        "hcb" => ("p6mm", 0.0, [third, 2.0 * third, 0.0]),
        "kgm" => ("p6mm", 0.0, [0.5, 0.0, 0.0]),
        "sql" => ("p4mm", 0.0, [0.0; 3]),
        "hxl" => ("p6mm", 0.0, [0.0; 3]),
        _ => return None,
    };
    Some((group, c, vec![site]))
}

/// Nets of two kinds of points, the first at the origin where one is: what is joined is named beside each.
fn of_two(symbol: &str) -> Option<(&'static str, f64, Vec<[f64; 3]>)> {
    let (third, sixth, eight_thirds) = (1.0_f64 / 3.0, 1.0 / 6.0, (8.0_f64 / 3.0).sqrt());
    let (group, c, sites) = match symbol {
        // Cubes and tetrahedra, as in fluorite; octahedra and prisms, as in nickel arsenide.
        "flu" => ("Fm-3m", 1.0, [[0.0; 3], [0.25; 3]]),
        "nia" => ("P63/mmc", eight_thirds, [[0.0; 3], [third, 2.0 * third, 0.25]]),
        // Cuboctahedra, and icosahedra, with squares and tetrahedra.
        "ftw" => ("Pm-3m", 1.0, [[0.0; 3], [0.5, 0.5, 0.0]]),
        "ith" => ("Pm-3n", 1.0, [[0.0; 3], [0.25, 0.0, 0.5]]),
        // Octahedra and flat triangles, as in pyrite and in rutile: there with all angles 120°. Octahedra and
        // tetrahedra, as in garnet.
        "pyr" => ("Pa-3", 1.0, [[0.0; 3], [third; 3]]),
        "rtl" => ("P42/mnm", (2.0 * third).sqrt(), [[0.0; 3], [third, third, 0.0]]),
        "gar" => ("Ia-3d", 1.0, [[0.0; 3], [0.375, 0.0, 0.25]]),
        // Tetrahedra and squares, as in platinum sulphide.
        "pts" => ("P42/mmc", 2.0_f64.sqrt(), [[0.0, 0.5, 0.0], [0.0, 0.0, 0.25]]),
        // Flat triangles with squares twice, and with tetrahedra twice.
        "pto" => ("Pm-3n", 1.0, [[0.25, 0.0, 0.5], [0.25; 3]]),
        "tbo" => ("Fm-3m", 1.0, [[0.0, 0.25, 0.25], [sixth; 3]]),
        "bor" => ("P-43m", 1.0, [[0.5, 0.0, 0.0], [sixth; 3]]),
        "ctn" => ("I-43d", 1.0, [[0.375, 0.0, 0.25], [5.0 / 24.0; 3]]),
        // Flat triangles in the faces of tetrahedra: of all that share corners, of every second one about a point of fcu,
        // of all about it; triangles with cubes.
        "spn" => ("Fd-3m:2", 1.0, [[0.0; 3], [sixth; 3]]),
        "ttt" => ("F-43m", 1.0, [[0.0; 3], [third; 3]]),
        "rht" => ("Fm-3m", 1.0, [[0.0; 3], [third; 3]]),
        "the" => ("Pm-3m", 1.0, [[0.0, 0.5, 0.5], [third; 3]]),
        // Rectangles with cubes, with hexagonal prisms, with trigonal prisms, with flat hexagons.
        "scu" => ("P4/mmm", 1.0, [[0.0; 3], [0.0, 0.5, 0.5]]),
        "shp" => ("P6/mmm", 1.0, [[0.0; 3], [0.5, 0.0, 0.5]]),
        "stp" => ("P6/mmm", 1.0, [[third, 2.0 * third, 0.5], [0.5, 0.0, 0.0]]),
        "she" => ("Im-3m", 1.0, [[0.25; 3], [0.25, 0.0, 0.5]]),
        // Octahedra with cubes and with tetrahedra; truncated octahedra with tetrahedra.
        "ocu" => ("Im-3m", 1.0, [[0.25; 3], [0.0, 0.5, 0.5]]),
        "toc" => ("Pn-3m:2", 1.0, [[0.0; 3], [0.25, 0.75, 0.75]]),
        "twf" => ("Im-3m", 1.0, [[0.0; 3], [0.25, 0.0, 0.5]]),
        // Hexagonal prisms with trigonal ones, as in aluminium diboride; truncated tetrahedra with flat hexagons, as in MgCu₂.
        "alb" => ("P6/mmm", 1.0, [[0.0; 3], [third, 2.0 * third, 0.5]]),
        "mgc" => ("Fd-3m:1", 1.0, [[0.0; 3], [0.625; 3]]),
        // Octahedra and flat triangles, as in anatase: with all angles of those 120°.
        "ant" => ("I41/amd:1", 12.0_f64.sqrt(), [[0.0; 3], [0.0, 0.0, sixth]]),
        // Layers of hexagons, every second point with one above and one below: layers alike, and in turn.
        "hms" => ("P-6m2", third.sqrt(), [[third, 2.0 * third, 0.0], [2.0 * third, third, 0.0]]),
        "gra" => ("P63/mmc", 2.0 * third.sqrt(), [[0.0, 0.0, 0.25], [third, 2.0 * third, 0.25]]),
        // The plane: rhombs of 60°, as the middles of the polygons of kgm are joined.
        "kgd" => ("p6mm", 0.0, [[0.0; 3], [third, 2.0 * third, 0.0]]),
        _ => return None,
    };
    Some((group, c, sites.into()))
}

pub(super) fn entry(symbol: &str) -> Option<Entry> {
    let symbol = SYMBOLS.iter().find(|s| **s == symbol)?;
    let (group, c, sites) = of_one(symbol).or_else(|| of_two(symbol))?;
    let links = match sites.len() {
        1 => Links::All,
        _ if ["hms", "gra"].contains(symbol) => Links::First,
        _ => Links::Across,
    };
    Some(Entry { symbol, group, c, sites, links })
}

#[cfg(test)]
mod tests {
    use super::super::crystal;
    use std::collections::BTreeMap;

    /// The point symbol about a point: how many pairs of its edges have a shortest cycle of each length.
    fn cycles(near: &[Vec<usize>], v: usize) -> BTreeMap<usize, usize> {
        let mut found = BTreeMap::new();
        for (i, a) in near[v].iter().enumerate() {
            let mut steps = vec![usize::MAX; near.len()];
            (steps[v], steps[*a]) = (0, 0);
            let mut row = std::collections::VecDeque::from([*a]);
            while let Some(p) = row.pop_front() {
                for q in near[p].iter().filter(|q| steps[**q] == usize::MAX).copied().collect::<Vec<_>>() {
                    steps[q] = steps[p] + 1;
                    row.push_back(q);
                }
            }
            near[v][..i].iter().for_each(|b| *found.entry(steps[*b] + 2).or_default() += 1);
        }
        found
    }

    /// Point symbols of each kind of points. Source: those that are printed with the nets in papers on frameworks, from memory
    /// (the notation: V. A. Blatov, M. O'Keeffe, D. M. Proserpio, CrystEngComm 12 (2010) 44); that of pcb by counting: three pairs of
    /// edges are corners of squares of one cube, the others go round by four cubes, two steps each.
    #[test]
    fn nets_have_their_point_symbols() {
        type Symbol = &'static [(usize, usize)];
        #[rustfmt::skip]
        let all: &[(&str, &[Symbol])] = &[
            ("ths", &[&[(10, 3)]]),
            ("bto", &[&[(10, 3)]]),
            ("cds", &[&[(6, 5), (8, 1)]]),
            ("lcv", &[&[(3, 2), (10, 4)]]),
            ("lvt", &[&[(4, 2), (8, 4)]]),
            ("pcb", &[&[(4, 3), (8, 3)]]),
            ("crb", &[&[(4, 1), (6, 5)]]),
            ("sqp", &[&[(4, 4), (6, 6)]]),
            ("bnn", &[&[(4, 6), (6, 4)]]),
            ("acs", &[&[(4, 9), (6, 6)]]),
            ("bct", &[&[(3, 12), (4, 28), (5, 5)]]),
            ("hms", &[&[(6, 9), (8, 1)], &[(6, 3)]]),
            ("gra", &[&[(6, 9), (8, 1)], &[(6, 3)]]),
            ("rtl", &[&[(4, 2), (6, 10), (8, 3)], &[(4, 1), (6, 2)]]),
            ("ant", &[&[(4, 4), (6, 2), (8, 8), (10, 1)], &[(4, 2), (6, 1)]]),
            ("flu", &[&[(4, 12), (6, 12), (8, 4)], &[(4, 6)]]),
            ("scu", &[&[(4, 16), (6, 12)], &[(4, 4), (6, 2)]]),
            ("shp", &[&[(4, 36), (6, 30)], &[(4, 4), (6, 2)]]),
            ("stp", &[&[(4, 9), (6, 6)], &[(4, 4), (6, 2)]]),
            ("alb", &[&[(4, 48), (6, 18)], &[(4, 15)]]),
            ("rht", &[&[(4, 72), (6, 132), (8, 72)], &[(4, 3)]]),
            ("kgd", &[&[(4, 6), (6, 6), (8, 3)], &[(4, 3)]]),
        ];
        for (symbol, want) in all {
            let found = symbols(symbol, want.len(), 8.0);
            let want: Vec<BTreeMap<usize, usize>> =
                want.iter().map(|s| s.iter().copied().collect()).collect();
            assert_eq!(found, want, "{symbol}");
        }
    }

    /// The point symbol of each kind of points, first by number of edges.
    fn symbols(symbol: &str, kinds: usize, reach: f64) -> Vec<BTreeMap<usize, usize>> {
        let net = crystal(symbol, 1.0, reach, true).unwrap();
        let mut near: Vec<Vec<usize>> = vec![Vec::new(); net.points().len()];
        for e in net.edges() {
            near[e.ends[0]].push(e.ends[1]);
            near[e.ends[1]].push(e.ends[0]);
        }
        let mut inner: Vec<usize> = (0..near.len()).filter(|i| net.points()[*i].norm() < 2.6).collect();
        inner.sort_by(|a, b| net.points()[*a].norm().total_cmp(&net.points()[*b].norm()));
        let mut found: Vec<(usize, BTreeMap<usize, usize>)> = Vec::new();
        for i in inner {
            let one = (near[i].len(), cycles(&near, i));
            if !found.contains(&one) {
                found.push(one);
            }
        }
        found.sort_by_key(|(edges, _)| std::cmp::Reverse(*edges));
        assert_eq!(found.len(), kinds, "{symbol}: {found:?}");
        found.into_iter().map(|f| f.1).collect()
    }

    /// How many edges each kind of points has. Source: M. O'Keeffe and others (2008), from memory.
    #[test]
    fn kinds_of_points_have_their_edges() {
        for (symbol, want) in [
            ("hms", [5, 3]),
            ("gra", [5, 3]),
            ("alb", [12, 6]),
            ("mgc", [12, 6]),
            ("spn", [6, 3]),
            ("the", [8, 3]),
            ("scu", [8, 4]),
            ("shp", [12, 4]),
            ("ocu", [6, 8]),
            ("twf", [24, 4]),
            ("rht", [24, 3]),
            ("ttt", [12, 3]),
            ("toc", [6, 4]),
            ("she", [6, 4]),
            ("stp", [6, 4]),
            ("ant", [6, 3]),
            ("kgd", [6, 3]),
        ] {
            assert_eq!(super::super::sequences(symbol, 1).unwrap(), want.map(|n| [n]), "{symbol}");
        }
    }
}

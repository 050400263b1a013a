//! Groups, polytopes, crystal nets and tilings against published values.
//!
//! Source where none other is named: the sections of the project's check values that stand above each test, which name the
//! tables and papers they come from.

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::PI;

use ogee::base::{Vec2, Vec3};
use ogee::form::group::{CellAsk, FRIEZE, Group, Jones, Setting, WALLPAPER, motions_of, settings};
use ogee::form::net::{Net, crystal, dual, polytope};
use ogee::form::tiling::{NAMES, Tiling, hyperbolic, tiling, voronoi, voronoi_net};

/// The usual setting of each of the 230 space groups, and its motions.
fn usual() -> Vec<(Setting, Vec<Jones>)> {
    let mut all: Vec<(Setting, Vec<Jones>)> = Vec::new();
    for setting in settings() {
        if all.last().is_none_or(|(s, _)| s.number != setting.number) {
            let motions = motions_of(&setting).unwrap();
            all.push((setting, motions));
        }
    }
    all
}

fn is_shift(m: &Jones) -> bool {
    m.rows == Jones::IDENTITY.rows
}

/// Section 5.2: motions for each primitive cell of the wallpaper groups.
#[test]
fn wallpapers_have_their_motions_for_each_primitive_cell() {
    let ask = CellAsk { a: Some(7.0), ..CellAsk::default() };
    let found: Vec<usize> = WALLPAPER
        .iter()
        .map(|plane| {
            let group = Group::named(plane.symbol, &ask).unwrap();
            let fixed = |m: &&ogee::base::Affine| {
                let way = |v: Vec3| m.apply(v) - m.apply(Vec3::ZERO) - v;
                way(Vec3::new(1.0, 0.0, 0.0)).norm() + way(Vec3::new(0.0, 1.0, 0.0)).norm() < 1e-9
            };
            group.order() / group.motions().iter().filter(fixed).count()
        })
        .collect();
    let named: BTreeMap<&str, usize> = WALLPAPER.iter().map(|p| p.symbol).zip(found).collect();
    let table = [
        ("p1", 1),
        ("p2", 2),
        ("pm", 2),
        ("pg", 2),
        ("cm", 2),
        ("p2mm", 4),
        ("p2mg", 4),
        ("p2gg", 4),
        ("c2mm", 4),
        ("p4", 4),
        ("p4mm", 8),
        ("p4gm", 8),
        ("p3", 3),
        ("p3m1", 6),
        ("p31m", 6),
        ("p6", 6),
        ("p6mm", 12),
    ];
    assert_eq!(named, table.into_iter().collect());
    assert_eq!(FRIEZE.len(), 7);
}

/// Section 5.3: 73 symmorphic groups, which have a place that every motion of the point group keeps; in the usual settings
/// the origin is one. General positions of all 230 add up to 4425.
#[test]
fn symmorphic_groups_are_counted() {
    let all = usual();
    assert_eq!(all.iter().map(|(_, motions)| motions.len()).sum::<usize>(), 4425);
    let symmorphic = all.iter().filter(|(_, motions)| {
        let turns: BTreeSet<[[i32; 3]; 3]> = motions.iter().map(|m| m.rows).collect();
        let kept: BTreeSet<_> = motions.iter().filter(|m| m.shift == [0; 3]).map(|m| m.rows).collect();
        turns == kept
    });
    assert_eq!(symmorphic.count(), 73);
}

/// The screws of a motion and what lattice shifts of the cell make of it: order, and the advance along the primitive axis,
/// in 72ths of it, for a right-handed turn by the order's angle.
fn screws(m: &Jones, shifts: &[[i32; 3]]) -> BTreeSet<(i32, i32)> {
    let apply = |v: [i32; 3]| [0, 1, 2].map(|i: usize| (0..3).map(|k| m.rows[i][k] * v[k]).sum::<i32>());
    let trace = m.rows[0][0] + m.rows[1][1] + m.rows[2][2];
    let Some(order) =
        [(-1, 2), (0, 3), (1, 4), (2, 6)].into_iter().find_map(|(t, n)| (t == trace).then_some(n))
    else {
        return BTreeSet::new();
    };
    // The axis: the sum of all turns of a vector that has a part along it, divided down to whole numbers without a common part.
    let round = |v: [i32; 3]| {
        let mut sum = [0; 3];
        let mut now = v;
        for _ in 0..order {
            now = apply(now);
            (0..3).for_each(|k| sum[k] += now[k]);
        }
        sum
    };
    let along = [[1, 0, 0], [0, 1, 0], [0, 0, 1]].map(round);
    let axis = along.into_iter().find(|v| *v != [0; 3]).unwrap();
    let common = (1..=axis.iter().map(|x| x.abs()).max().unwrap())
        .rev()
        .find(|d| axis.iter().all(|x| x % d == 0))
        .unwrap();
    let mut axis = axis.map(|x| x / common);
    let volume = |a: [i32; 3], b: [i32; 3], c: [i32; 3]| {
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    let hands = [[1, 0, 0], [0, 1, 0], [0, 0, 1]].map(|v| volume(v, apply(v), axis));
    if hands.iter().sum::<i32>() < 0 {
        axis = axis.map(|x| -x);
    }
    let k = (0..3).find(|k| axis[*k] != 0).unwrap();
    shifts
        .iter()
        .map(|by| {
            // The sum of all turns of the shift is the order times the advance.
            let advance = round([0, 1, 2].map(|k| m.shift[k] + by[k]))[k];
            assert_eq!(72 * advance % (24 * order * axis[k]), 0);
            (order, (72 * advance / (24 * order * axis[k])).rem_euclid(72))
        })
        .collect()
}

/// Section 5.3: 22 groups come in pairs of a left and a right one. They have screws of one hand only.
#[test]
fn enantiomorphic_groups_are_counted() {
    let shifts: Vec<[i32; 3]> = (0..8).map(|n| [n & 1, n >> 1 & 1, n >> 2].map(|x| 24 * x)).collect();
    let paired: Vec<u32> = usual()
        .into_iter()
        .filter(|(_, motions)| motions.iter().all(|m| m.determinant() == 1))
        .filter(|(_, motions)| {
            let all: BTreeSet<(i32, i32)> =
                motions.iter().filter(|m| !is_shift(m)).flat_map(|m| screws(m, &shifts)).collect();
            all.iter().any(|(order, advance)| !all.contains(&(*order, (-advance).rem_euclid(72))))
        })
        .map(|(setting, _)| setting.number)
        .collect();
    // International Tables for Crystallography A, section 1.4.3.
    let table = [
        76, 78, 91, 92, 95, 96, 144, 145, 151, 152, 153, 154, 169, 170, 171, 172, 178, 179, 180, 181, 212,
        213,
    ];
    assert_eq!(paired, table);
}

/// Area and volume of a polyhedron about the origin.
fn contents(net: &Net) -> (f64, f64) {
    let (mut area, mut volume) = (0.0, 0.0);
    for face in net.faces() {
        let at = |k: usize| net.points()[face[k % face.len()]];
        for k in 1..face.len() - 1 {
            let normal = (at(k) - at(0)).cross(at(k + 1) - at(0)) * 0.5;
            area += normal.norm();
            volume += normal.dot(at(0)) / 3.0;
        }
    }
    (area, volume)
}

/// The angles between neighbouring faces, degrees, each once, to a thousandth.
fn angles(net: &Net) -> BTreeSet<i64> {
    let normal = |f: &Vec<usize>| {
        let [a, b, c] = [f[0], f[1], f[2]].map(|i| net.points()[i]);
        (b - a).cross(c - b).unit().unwrap()
    };
    let mut found = BTreeSet::new();
    for (i, f) in net.faces().iter().enumerate() {
        for g in net.faces()[..i].iter().filter(|g| f.iter().filter(|k| g.contains(k)).count() == 2) {
            let angle = 180.0 - normal(f).dot(normal(g)).clamp(-1.0, 1.0).acos().to_degrees();
            found.insert((angle * 1000.0).round() as i64);
        }
    }
    found
}

/// Section 5.5: volumes, areas and angles with edges of 1.
#[test]
fn archimedean_solids_have_their_contents() {
    for (diagram, rings, volume, wanted) in [
        ("[3,3]", "110", 2.710_576_0, vec![70_529, 109_471]),
        ("[4,3]", "010", 2.357_022_6, vec![125_264]),
        ("[4,3]", "011", 11.313_708_5, vec![109_471, 125_264]),
        ("[5,3]", "011", 55.287_730_8, vec![138_190, 142_623]),
    ] {
        let net = polytope(diagram, rings, 1.0).unwrap();
        assert!((contents(&net).1 - volume).abs() < 1e-7, "{diagram} {rings} {}", contents(&net).1);
        assert_eq!(angles(&net), wanted.into_iter().collect(), "{diagram} {rings}");
    }
    let ball = polytope("[5,3]", "011", 1.0).unwrap();
    assert!((contents(&ball).0 - 72.607_253_0).abs() < 1e-6);
    assert!(ball.points().iter().all(|p| (p.norm() - 2.478_018_7).abs() < 1e-7));
}

/// Section 7.5: surface over volume to the power 2/3 of the cells of the three cubic lattices: a cube, a rhombic dodecahedron,
/// a truncated octahedron.
#[test]
fn cells_of_lattices_have_their_surfaces() {
    let rhombic = dual(&polytope("[4,3]", "010", 1.0).unwrap()).unwrap();
    for (net, want) in [
        (polytope("[4,3]", "100", 1.0).unwrap(), 6.0),
        (rhombic, 5.345_392_309),
        (polytope("[4,3]", "011", 1.0).unwrap(), 5.314_739_700),
    ] {
        let (area, volume) = contents(&net);
        assert!((area / volume.powf(2.0 / 3.0) - want).abs() < 1e-8, "{want}");
    }
}

type Four = [f64; 4];

fn dot(a: &Four, b: &Four) -> f64 {
    (0..4).map(|k| a[k] * b[k]).sum()
}

/// The corners of a projected polytope on the sphere of four dimensions again. How much the projection stretches a place p,
/// (1 + |p|²)/2, tells in which unit the net is.
fn lifted(net: &Net) -> Vec<Four> {
    let far = |i: &usize| net.points()[*i].norm();
    let by_far = |a: &usize, b: &usize| far(a).total_cmp(&far(b));
    let near = (0..net.points().len()).min_by(by_far).unwrap();
    let away = (0..net.points().len()).max_by(by_far).unwrap();
    let ratio = net.sizes()[away] / net.sizes()[near];
    let (a, b) = (far(&near).powi(2), far(&away).powi(2));
    // (k + b)/(k + a) = ratio, with k the square of the unit.
    let unit = ((b - ratio * a) / (ratio - 1.0)).sqrt();
    net.points()
        .iter()
        .map(|p| {
            let p = *p / unit;
            let s = p.dot(p);
            [2.0 * p.x / (1.0 + s), 2.0 * p.y / (1.0 + s), 2.0 * p.z / (1.0 + s), (s - 1.0) / (1.0 + s)]
        })
        .collect()
}

/// The unit vector across three of four dimensions, out of the vectors to four points; `None` when they lie in a plane.
fn across(points: [&Four; 4]) -> Option<Four> {
    let [a, b, c] = [1, 2, 3].map(|k: usize| [0, 1, 2, 3].map(|i| points[k][i] - points[0][i]));
    let minor = |skip: usize| {
        let on: Vec<usize> = (0..4).filter(|k| *k != skip).collect();
        let [i, j, k] = [on[0], on[1], on[2]];
        a[i] * (b[j] * c[k] - b[k] * c[j]) - a[j] * (b[i] * c[k] - b[k] * c[i])
            + a[k] * (b[i] * c[j] - b[j] * c[i])
    };
    let n = [minor(0), -minor(1), minor(2), -minor(3)];
    let norm = dot(&n, &n).sqrt();
    (norm > 1e-9).then(|| n.map(|x| x / norm))
}

/// The cells at a face: outward unit vectors and how far from the middle, for each flat of three dimensions through the face
/// that has all corners on one side.
fn cells_at(face: &[usize], on: &[Four], near: &[BTreeSet<usize>]) -> Vec<(Four, f64)> {
    let mut found: Vec<(Four, f64)> = Vec::new();
    let beside: BTreeSet<usize> =
        face.iter().flat_map(|i| near[*i].iter().copied()).filter(|v| !face.contains(v)).collect();
    for v in beside {
        let Some(n) = across([&on[face[0]], &on[face[1]], &on[face[2]], &on[v]]) else { continue };
        let far = dot(&n, &on[v]);
        let (n, far) = if far < 0.0 { (n.map(|x| -x), -far) } else { (n, far) };
        let outmost = on.iter().all(|p| dot(&n, p) < far + 1e-9);
        if outmost && !found.iter().any(|(m, _)| dot(m, &n) > 1.0 - 1e-9) {
            found.push((n, far));
        }
    }
    found
}

/// Section 5.6: angles between cells, and volumes with edges of 1, from the projected nets lifted to the sphere again. That of
/// the 600-cell is 600 pyramids over tetrahedra, as deep as its inner radius φ³/√8 (H. S. M. Coxeter, Regular Polytopes, table
/// I): 25 φ³/4. (The section's 50√2/φ³ would leave half of the sphere about it empty.)
#[test]
fn regular_polytopes_have_their_angles_and_volumes() {
    let golden = 0.5 * (1.0 + 5.0_f64.sqrt());
    for (diagram, rings, cell, angle, volume) in [
        ("[3,3,3]", "1000", ("[3,3]", "100"), 75.522_488, 5.0_f64.sqrt() / 96.0),
        ("[4,3,3]", "1000", ("[4,3]", "100"), 90.0, 1.0),
        ("[4,3,3]", "0001", ("[3,3]", "100"), 120.0, 1.0 / 6.0),
        ("[3,4,3]", "1000", ("[4,3]", "001"), 120.0, 2.0),
        ("[5,3,3]", "1000", ("[5,3]", "100"), 144.0, 787.856_981_0),
        ("[5,3,3]", "0001", ("[3,3]", "100"), 164.477_512, 6.25 * golden.powi(3)),
    ] {
        let net = polytope(diagram, rings, 30.0).unwrap();
        let on = lifted(&net);
        let mut near = vec![BTreeSet::new(); on.len()];
        for [a, b] in net.edges().iter().map(|e| e.ends) {
            near[a].insert(b);
            near[b].insert(a);
        }
        let apart = |[a, b]: [usize; 2]| (2.0 - 2.0 * dot(&on[a], &on[b])).sqrt();
        let edge = apart(net.edges()[0].ends);
        assert!(net.edges().iter().all(|e| (apart(e.ends) - edge).abs() < 1e-8), "{diagram} {rings}");
        let mut deep = 0.0;
        for face in net.faces().iter().step_by(net.faces().len() / 10) {
            let cells = cells_at(face, &on, &near);
            assert_eq!(cells.len(), 2, "{diagram} {rings}");
            let found = 180.0 - dot(&cells[0].0, &cells[1].0).acos().to_degrees();
            assert!((found - angle).abs() < 1e-5, "{diagram} {rings} {found}");
            deep = cells[0].1;
        }
        // A pyramid over each cell: a quarter of its depth times its volume.
        let one = contents(&polytope(cell.0, cell.1, 1.0).unwrap()).1;
        let found = net.cells() as f64 * 0.25 * (deep / edge) * one;
        assert!((found / volume - 1.0).abs() < 1e-8, "{diagram} {rings} {found}");
    }
}

/// The distance of two places of the unit disc of Poincaré.
fn apart(a: Vec2, b: Vec2) -> f64 {
    let d = a - b;
    (1.0 + 2.0 * d.dot(d) / ((1.0 - a.dot(a)) * (1.0 - b.dot(b)))).acosh()
}

/// Section 5.7: radii, edges and areas of hyperbolic tiles.
#[test]
fn hyperbolic_tiles_have_their_measures() {
    for (p, q, vertex, middle, side, area) in [
        (7, 3, 0.620_671_738, 0.545_274_832, 0.566_256_307, PI / 3.0),
        (5, 4, 0.842_482_081, 0.626_869_663, 1.061_275_062, PI / 2.0),
        (4, 5, 0.842_482_081, 0.530_637_531, 1.253_739_326, 2.0 * PI / 5.0),
    ] {
        let made = hyperbolic(p, q, 1.0, 2, true).unwrap();
        let first = &made.tiles()[0].outline;
        for piece in &first.pieces {
            assert!((apart(Vec2::ZERO, piece.start()) - vertex).abs() < 1e-8, "{p},{q}");
            assert!((apart(Vec2::ZERO, piece.at(0.5)) - middle).abs() < 1e-8, "{p},{q}");
        }
        for tile in made.tiles() {
            let pieces = &tile.outline.pieces;
            let mut angles = 0.0;
            for (k, piece) in pieces.iter().enumerate() {
                assert!((apart(piece.start(), piece.end()) - side).abs() < 1e-7, "{p},{q}");
                let before = &pieces[(k + pieces.len() - 1) % pieces.len()];
                let (come, go) = (before.slope(1.0).unit().unwrap(), piece.slope(0.0).unit().unwrap());
                angles += PI - come.cross(go).atan2(come.dot(go));
            }
            // Gauss and Bonnet: the area is what the angles lack.
            let found = (f64::from(p) - 2.0) * PI - angles;
            assert!((found - area).abs() < 1e-6, "{p},{q} {found}");
        }
    }
}

/// Tiles reached after each number of steps across edges or corners.
fn reached_by_corners(tiling: &Tiling, steps: usize) -> Vec<usize> {
    let key = |p: Vec2| [p.x, p.y].map(|x| (x * 1e7).round() as i64);
    let mut at: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
    for (i, tile) in tiling.tiles().iter().enumerate() {
        for piece in &tile.outline.pieces {
            let [x, y] = key(piece.start());
            for n in 0..9 {
                at.entry([x + n % 3 - 1, y + n / 3 - 1]).or_default().push(i);
            }
        }
    }
    let mut seen = BTreeSet::from([0]);
    let mut shell = vec![0];
    let mut counts = vec![1];
    for _ in 0..steps {
        let pieces = shell.iter().flat_map(|i| &tiling.tiles()[*i].outline.pieces);
        let near: BTreeSet<usize> = pieces.flat_map(|p| at[&key(p.start())].iter().copied()).collect();
        shell = near.into_iter().filter(|i| seen.insert(*i)).collect();
        counts.push(shell.len());
    }
    counts
}

/// Section 5.7: tiles reached across edges or vertices.
#[test]
fn hyperbolic_tiles_are_counted_across_corners() {
    for (p, q, wanted) in
        [(5, 4, vec![1, 10, 40, 150]), (4, 5, vec![1, 12, 48, 180]), (7, 3, vec![1, 7, 21, 56, 147])]
    {
        // Across a corner the furthest of q tiles is half of them away.
        let steps = wanted.len() - 1;
        let made = hyperbolic(p, q, 1.0, (steps as u32) * (q / 2), true).unwrap();
        assert_eq!(reached_by_corners(&made, steps), wanted, "{p},{q}");
    }
}

/// Neighbours of each point.
fn neighbours(net: &Net) -> Vec<Vec<usize>> {
    let mut near = vec![Vec::new(); net.points().len()];
    for [a, b] in net.edges().iter().map(|e| e.ends) {
        near[a].push(b);
        near[b].push(a);
    }
    near
}

/// Steps to every point from one, another left out.
fn steps_from(near: &[Vec<usize>], start: usize, without: Option<usize>) -> Vec<usize> {
    let mut steps = vec![usize::MAX; near.len()];
    steps[start] = 0;
    let mut row = std::collections::VecDeque::from([start]);
    while let Some(v) = row.pop_front() {
        for u in near[v].iter().copied().filter(|u| Some(*u) != without) {
            if steps[u] == usize::MAX {
                steps[u] = steps[v] + 1;
                row.push_back(u);
            }
        }
    }
    steps
}

/// All shortest ways from `at` down to where `steps` is zero.
fn ways(near: &[Vec<usize>], steps: &[usize], at: usize) -> Vec<Vec<usize>> {
    if steps[at] == 0 {
        return vec![vec![at]];
    }
    let nearer = near[at].iter().copied().filter(|u| steps[*u] != usize::MAX && steps[*u] + 1 == steps[at]);
    nearer
        .flat_map(|u| ways(near, steps, u))
        .map(|mut way| {
            way.insert(0, at);
            way
        })
        .collect()
}

/// The vertex symbol about a point: for each pair of its edges the length of the shortest rings through both, and their number;
/// (0, 0) where the shortest cycle is no ring. A ring has no shortcut: its points are no nearer in the net than along it.
fn symbol(near: &[Vec<usize>], v: usize) -> BTreeMap<(usize, usize), usize> {
    let mut found: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (i, a) in near[v].iter().enumerate() {
        for b in &near[v][..i] {
            let steps = steps_from(near, *b, Some(v));
            let is_ring = |cycle: &Vec<usize>| {
                let n = cycle.len();
                cycle.iter().enumerate().all(|(k, p)| {
                    let all = steps_from(near, *p, None);
                    (0..n).all(|j| all[cycle[j]] == (j.abs_diff(k)).min(n - j.abs_diff(k)))
                })
            };
            let cycles = ways(near, &steps, *a).into_iter().map(|mut way| {
                way.push(v);
                way
            });
            let rings = cycles.filter(is_ring).count();
            let size = if rings > 0 { steps[*a] + 2 } else { 0 };
            *found.entry((size, rings)).or_default() += 1;
        }
    }
    found
}

/// Section 6: vertex symbols, points reached within ten steps, and points for the room of a cell.
#[test]
fn crystal_nets_have_their_rings_and_cells() {
    for (name, edge, points, ten, rings) in [
        ("srs", 2.0_f64.sqrt() / 4.0, 8.0, 530, vec![((10, 5), 3)]),
        ("dia", 3.0_f64.sqrt() / 4.0, 8.0, 981, vec![((6, 2), 6)]),
        ("lon", (3.0_f64 / 8.0).sqrt(), 4.0, 1027, vec![((6, 2), 6)]),
        ("nbo", 0.5, 6.0, 1169, vec![((6, 2), 4), ((8, 2), 2)]),
        ("sod", 2.0_f64.sqrt() / 4.0, 12.0, 791, vec![((4, 1), 2), ((6, 1), 4)]),
        ("qtz", (3.0_f64 / 8.0).sqrt(), 3.0, 1231, vec![((6, 1), 2), ((6, 2), 2), ((8, 7), 2)]),
        ("pcu", 1.0, 1.0, 1561, vec![((0, 0), 3), ((4, 1), 12)]),
    ] {
        let net = crystal(name, 1.0, 11.5, true).unwrap();
        let near = neighbours(&net);
        let middle = (0..near.len())
            .min_by(|a, b| net.points()[*a].norm().total_cmp(&net.points()[*b].norm()))
            .unwrap();
        let steps = steps_from(&near, middle, None);
        // From a point that is not in the middle the furthest may lie outside the ball.
        if net.points()[middle].norm() < 1.4 {
            assert_eq!(steps.iter().filter(|s| **s <= 10).count(), ten, "{name}");
        }
        assert_eq!(symbol(&near, middle), rings.into_iter().collect(), "{name}");
        // Cells of hexagonal nets have c over a of √(8/3) (lon) and the base of a rhomb; qtz has a = √(8/3), c = √3 for edges of 1.
        let cell = match name {
            "lon" => (8.0_f64 / 3.0).sqrt().powi(3) * 0.75_f64.sqrt() * (8.0_f64 / 3.0).sqrt(),
            "qtz" => 8.0 / 3.0 * 0.75_f64.sqrt() * 3.0_f64.sqrt(),
            _ => edge.recip().powi(3),
        };
        let held = net.points().iter().filter(|p| p.norm() <= 10.0).count() as f64;
        let wanted = points / cell * 4.0 / 3.0 * PI * 1000.0;
        assert!((held / wanted - 1.0).abs() < 0.05, "{name} {held} {wanted}");
    }
}

/// The corners of a tile with straight sides; where two sides lie in line there is none.
fn corners(tile: &ogee::form::tiling::Tile) -> Vec<Vec2> {
    let all: Vec<Vec2> = tile.outline.pieces.iter().map(|s| s.start()).collect();
    let n = all.len();
    let turns = |k: &usize| {
        let (come, go) = (all[*k] - all[(k + n - 1) % n], all[(k + 1) % n] - all[*k]);
        come.cross(go).abs() > 1e-6
    };
    (0..n).filter(turns).map(|k| all[k]).collect()
}

/// The sides between some corners: how long each is, and by how many degrees the way turns at its end.
fn walk(at: &[Vec2]) -> Vec<(f64, i64)> {
    let n = at.len();
    let side = |k: usize| at[(k + 1) % n] - at[k % n];
    let turn = |a: Vec2, b: Vec2| a.cross(b).atan2(a.dot(b)).to_degrees().round() as i64;
    (0..n).map(|k| (side(k).norm(), turn(side(k), side(k + 1)))).collect()
}

/// Sections 7.1 to 7.3: angles and sides of aperiodic tiles.
#[test]
fn aperiodic_tiles_have_their_angles_and_sides() {
    let golden = 0.5 * (1.0 + 5.0_f64.sqrt());
    let long = 3.0_f64.sqrt();
    for (name, reach, kinds) in [
        (
            "penrose rhombs",
            8.0,
            vec![
                ("thick", vec![72, 72, 108, 108], vec![1.0; 4]),
                ("thin", vec![36, 36, 144, 144], vec![1.0; 4]),
            ],
        ),
        (
            "penrose kites",
            8.0,
            vec![
                ("kite", vec![72, 72, 72, 144], vec![1.0, 1.0, golden, golden]),
                ("dart", vec![36, 36, 72, 216], vec![1.0, 1.0, golden, golden]),
            ],
        ),
        (
            "ammann-beenker",
            8.0,
            vec![("rhomb", vec![45, 45, 135, 135], vec![1.0; 4]), ("square", vec![90; 4], vec![1.0; 4])],
        ),
        (
            "hat",
            16.0,
            vec![
                (
                    "plain",
                    [vec![90; 4], vec![120; 5], vec![240; 2], vec![270; 2]].concat(),
                    [vec![1.0; 6], vec![long; 6], vec![2.0]].concat(),
                ),
                (
                    "mirrored",
                    [vec![90; 4], vec![120; 5], vec![240; 2], vec![270; 2]].concat(),
                    [vec![1.0; 6], vec![long; 6], vec![2.0]].concat(),
                ),
            ],
        ),
    ] {
        let made = tiling(name, 1.0, reach).unwrap();
        for (kind, angles, lengths) in kinds {
            let tiles: Vec<_> = made.tiles().iter().filter(|t| t.kind == kind).collect();
            assert!(tiles.len() > 4, "{name} {kind}");
            for tile in tiles {
                let way = walk(&corners(tile));
                let mut found: Vec<i64> = way.iter().map(|side| 180 - side.1).collect();
                found.sort_unstable();
                assert_eq!(found, angles, "{name} {kind}");
                let mut found: Vec<f64> = way.iter().map(|side| side.0).collect();
                found.sort_by(f64::total_cmp);
                assert!(
                    found.len() == lengths.len()
                        && found.iter().zip(&lengths).all(|(a, b)| (a - b).abs() < 1e-9),
                    "{name} {kind} {found:?}"
                );
            }
        }
    }
}

/// Section 7.3: the corners of the hat on the triangular lattice. One tile of the tiling has this very outline, up to a motion:
/// side after side and angle after angle.
#[test]
fn the_hat_has_its_outline() {
    let lattice = [
        (0, 0),
        (-1, -1),
        (0, -2),
        (2, -2),
        (2, -1),
        (4, -2),
        (5, -1),
        (4, 0),
        (3, 0),
        (2, 2),
        (0, 3),
        (0, 2),
        (-1, 2),
    ];
    let at: Vec<Vec2> = lattice
        .into_iter()
        .map(|(i, j)| Vec2::new(f64::from(i) + 0.5 * f64::from(j), f64::from(j) * 0.75_f64.sqrt()))
        .collect();
    let area: f64 = (0..at.len()).map(|k| at[k].cross(at[(k + 1) % at.len()])).sum::<f64>() * 0.5;
    assert!((area.abs() - 8.0 * 3.0_f64.sqrt()).abs() < 1e-9);
    // Counter-clockwise, and its mirror image.
    let turned = |at: &[Vec2]| at.iter().rev().copied().collect::<Vec<_>>();
    let at = if area < 0.0 { turned(&at) } else { at };
    let mirrored = turned(&at.iter().map(|p| Vec2::new(-p.x, p.y)).collect::<Vec<_>>());
    let both = [walk(&at), walk(&mirrored)];
    for tile in tiling("hat", 1.0, 12.0).unwrap().tiles() {
        let found = walk(&corners(tile));
        let n = found.len();
        let alike = |a: (f64, i64), b: (f64, i64)| (a.0 - b.0).abs() < 1e-9 && a.1 == b.1;
        let fits = |want: &Vec<(f64, i64)>| {
            n == want.len() && (0..n).any(|by| (0..n).all(|k| alike(found[k], want[(k + by) % n])))
        };
        assert!(both.iter().any(fits), "{} {found:?}", tile.kind);
    }
}

/// Sites that look like chance, always the same: x and y of a linear congruence. Source: D. E. Knuth, The Art of Computer
/// Programming 2, section 3.3.4 (the multiplier 6364136223846793005 of C. E. Haynes).
fn sites(count: usize, width: f64) -> Vec<Vec2> {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5) * width
    };
    (0..count).map(|_| Vec2::new(next(), next())).collect()
}

/// Section 7.5: cells of sites thrown at random with one to a unit of area have an area of 1, 6 sides and a perimeter of 4 in
/// the mean; n sites have at most 2n - 5 corners and 3n - 6 edges.
#[test]
fn cells_of_random_sites_have_their_means() {
    let width = 80.0;
    let count = (width * width) as usize;
    let made = voronoi(&sites(count, width), width).unwrap();
    let inner = |t: &&ogee::form::tiling::Tile| {
        t.outline
            .pieces
            .iter()
            .all(|s| s.start().x.abs() < 0.5 * width - 1e-6 && s.start().y.abs() < 0.5 * width - 1e-6)
    };
    let whole: Vec<_> = made.tiles().iter().filter(inner).collect();
    let n = whole.len() as f64;
    let mean = |of: &dyn Fn(&ogee::form::tiling::Tile) -> f64| whole.iter().map(|t| of(t)).sum::<f64>() / n;
    let area = mean(&|t| t.outline.area());
    let long = mean(&|t| t.outline.length());
    let many = mean(&|t| t.outline.pieces.len() as f64);
    // The mean of 6000 cells strays by less than its spread (0.53, 0.97, 1.33) over √6000, three times over; cells at the
    // border, which are left out, are larger than others.
    assert!((area - 1.0).abs() < 0.03, "{area}");
    assert!((long - 4.0).abs() < 0.05, "{long}");
    assert!((many - 6.0).abs() < 0.06, "{many}");
    let key = |p: Vec2| [p.x, p.y].map(|x| (x * 1e6).round() as i64);
    let ends: BTreeSet<[i64; 2]> =
        whole.iter().flat_map(|t| &t.outline.pieces).map(|s| key(s.start())).collect();
    assert!(ends.len() <= 2 * count - 5, "{}", ends.len());
}

/// Section 7.5: of sites thrown at random in space cells have 15.535457 faces and 27.070915 corners in the mean. Four cells share
/// a corner and Euler's count makes half the faces of a cell one more than its share of corners. The length of all edges in
/// a unit of room, a third of what a cell has, is (16/15) (3/4)^(1/3) π^(5/3) Γ(4/3) (J. L. Meijering, Philips Res. Rep. 8
/// (1953) 270).
#[test]
fn cells_of_random_sites_in_space_have_their_means() {
    let (wide, inner) = (1900.0_f64.cbrt(), 4.2);
    let plane = sites(3 * 1900, 1.0);
    let all: Vec<Vec3> = plane.chunks(3).map(|c| Vec3::new(c[0].x, c[1].y, c[2].x) * wide).collect();
    let net = voronoi_net(&all, wide, false).unwrap();
    let within = |p: Vec3| p.array().iter().all(|x| x.abs() <= inner);
    let held = |points: &[Vec3]| points.iter().filter(|p| within(**p)).count() as f64;
    let cells = held(&all);
    let corners = held(net.points()) / cells;
    assert!((4.0 * corners - 27.070_915).abs() < 0.04 * 27.0, "{corners}");
    assert!((2.0 * (corners + 1.0) - 15.535_457).abs() < 0.04 * 15.5, "{corners}");
    // Each edge in eight pieces, those inside counted.
    let length: f64 = net
        .edges()
        .iter()
        .map(|e| {
            let [a, b] = e.ends.map(|i| net.points()[i]);
            let part = |k: usize| a + (b - a) * ((k as f64 + 0.5) / 8.0);
            (0..8).filter(|k| within(part(*k))).count() as f64 / 8.0 * (b - a).norm()
        })
        .sum();
    let room = (2.0 * inner).powi(3);
    let gamma = 0.892_979_511_569_249_2;
    let wanted = 16.0 / 15.0 * 0.75_f64.cbrt() * PI.powf(5.0 / 3.0) * gamma * (cells / room).powf(2.0 / 3.0);
    assert!((length / room / wanted - 1.0).abs() < 0.04, "{} {wanted}", length / room);
}

/// Section 5.4: regular polygons fit round a corner in 21 ways, of which 11 go on over the plane, one kind of corner
/// everywhere (B. Grünbaum, G. C. Shephard, Tilings and Patterns, section 2.1).
#[test]
fn eleven_of_twenty_one_corners_tile() {
    let mut corners: BTreeSet<Vec<u32>> = BTreeSet::new();
    let mut row: Vec<Vec<u32>> = (3..=42).map(|n| vec![n]).collect();
    while let Some(some) = row.pop() {
        // Angles in parts of a whole turn: 1/2 - 1/n each.
        let sum: f64 = some.iter().map(|n| 0.5 - 1.0 / f64::from(*n)).sum();
        if (sum - 1.0).abs() < 1e-12 {
            let turned = |v: &[u32]| (0..v.len()).map(|k| [&v[k..], &v[..k]].concat()).min().unwrap();
            let back: Vec<u32> = some.iter().rev().copied().collect();
            corners.insert(turned(&some).min(turned(&back)));
        } else if sum < 1.0 {
            row.extend((3..=42).map(|n| [some.as_slice(), &[n]].concat()));
        }
    }
    assert_eq!(corners.len(), 21);
    let known = |c: &Vec<u32>| {
        let name = c.iter().map(u32::to_string).collect::<Vec<_>>().join(".");
        tiling(&name, 1.0, 4.0).is_ok()
    };
    assert_eq!(corners.iter().filter(|c| known(c)).count(), 11);
    assert_eq!(NAMES.iter().filter(|n| n.starts_with(|c: char| c.is_ascii_digit())).count(), 11);
}

/// Section 7.3: areas of the tiles with edges 1 and √3, and the hat's perimeter.
#[test]
fn hats_and_spectres_have_their_areas() {
    let root = 3.0_f64.sqrt();
    for (name, area) in [("hat", 8.0 * root), ("turtle", 10.0 * root), ("spectre", 3.0 + 3.0 * root)] {
        for tile in tiling(name, 1.0, 12.0).unwrap().tiles() {
            assert!((tile.outline.area() - area).abs() < 1e-8, "{name} {}", tile.outline.area());
            if name == "hat" {
                assert!((tile.outline.length() - 18.392_304_845).abs() < 1e-8);
            }
        }
    }
}

//! Polyhedra and polytopes by their names, each with its diagram and rings, for messages.
//!
//! Source: H. S. M. Coxeter, Regular Polytopes (1973), tables I to III and section 8.1.

/// Name, diagram, rings.
pub const POLYTOPES: &[(&str, &str, &str)] = &[
    ("tetrahedron", "[3,3]", "100"),
    ("cube", "[4,3]", "100"),
    ("octahedron", "[4,3]", "001"),
    ("dodecahedron", "[5,3]", "100"),
    ("icosahedron", "[5,3]", "001"),
    ("truncated tetrahedron", "[3,3]", "110"),
    ("truncated cube", "[4,3]", "110"),
    ("truncated octahedron", "[4,3]", "011"),
    ("truncated dodecahedron", "[5,3]", "110"),
    ("truncated icosahedron", "[5,3]", "011"),
    ("cuboctahedron", "[4,3]", "010"),
    ("icosidodecahedron", "[5,3]", "010"),
    ("rhombicuboctahedron", "[4,3]", "101"),
    ("rhombicosidodecahedron", "[5,3]", "101"),
    ("truncated cuboctahedron", "[4,3]", "111"),
    ("truncated icosidodecahedron", "[5,3]", "111"),
    ("snub cube", "[4,3]", "sss"),
    ("snub dodecahedron", "[5,3]", "sss"),
    ("small stellated dodecahedron", "[5/2,5]", "100"),
    ("great dodecahedron", "[5/2,5]", "001"),
    ("great stellated dodecahedron", "[5/2,3]", "100"),
    ("great icosahedron", "[5/2,3]", "001"),
    ("hexagonal prism", "[6,2]", "101"),
    ("hexagonal antiprism", "[6,2]", "sss"),
    ("5-cell", "[3,3,3]", "1000"),
    ("tesseract", "[4,3,3]", "1000"),
    ("8-cell", "[4,3,3]", "1000"),
    ("16-cell", "[4,3,3]", "0001"),
    ("24-cell", "[3,4,3]", "1000"),
    ("snub 24-cell", "[3,3^1,1]", "ssss"),
    ("120-cell", "[5,3,3]", "1000"),
    ("600-cell", "[5,3,3]", "0001"),
];

#[cfg(test)]
mod tests {
    use super::super::polytope;
    use super::*;

    /// Corners of each. Source: Coxeter, as above; sections 5.5 and 5.6 of the project's check values.
    #[test]
    fn named_polytopes_have_their_corners() {
        let corners = [
            4, 8, 6, 20, 12, 12, 24, 24, 60, 60, 12, 30, 24, 60, 48, 120, 24, 60, 12, 12, 20, 12, 12, 12, 5,
            16, 16, 8, 24, 96, 600, 120,
        ];
        assert_eq!(POLYTOPES.len(), corners.len());
        for ((name, diagram, rings), want) in POLYTOPES.iter().zip(corners) {
            assert_eq!(polytope(diagram, rings, 10.0).unwrap().points().len(), want, "{name}");
        }
    }
}

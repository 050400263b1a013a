//! Knots against the published tables.

use super::*;
use crate::form::FormFault;

/// The drawing that a closed braid shows.
fn braid(word: &[i64]) -> Diagram {
    crossings(&braid_rings(word, None, 6).unwrap()).unwrap().diagram().unwrap().unwrap()
}

/// Alexander polynomials and determinants. Source: D. Rolfsen, Knots and Links (1976), appendix C; the determinants of
/// C. Livingston, A. H. Moore, KnotInfo, for those with up to seven crossings, and of the links (Hopf, Whitehead,
/// Borromean).
#[test]
fn every_name_of_the_table_is_the_knot_of_that_name() {
    let determinants = [
        ("3_1", 3),
        ("4_1", 5),
        ("5_1", 5),
        ("5_2", 7),
        ("6_1", 9),
        ("6_2", 11),
        ("6_3", 13),
        ("7_1", 7),
        ("7_2", 11),
        ("7_3", 13),
        ("7_4", 15),
        ("7_5", 17),
        ("7_6", 19),
        ("7_7", 21),
        ("8_1", 13),
        ("8_3", 17),
        ("8_9", 25),
        ("8_18", 45),
        ("8_19", 3),
        ("8_20", 9),
        ("8_21", 15),
        ("2^2_1", 2),
        ("4^2_1", 4),
        ("5^2_1", 8),
        ("6^3_2", 16),
    ];
    assert_eq!(TABLE.len(), 1 + 1 + 2 + 3 + 7 + 21 + 4);
    for tabled in TABLE {
        let diagram = braid(tabled.word);
        let found = alexander(&diagram).unwrap();
        assert_eq!(found, tabled.alexander, "{}", tabled.name);
        if let Some((_, d)) = determinants.iter().find(|(n, _)| *n == tabled.name) {
            assert_eq!(determinant(&found), *d, "{}", tabled.name);
        }
        let signs: i64 = tabled.word.iter().map(|k| k.signum()).sum();
        if diagram.len() == tabled.word.len() {
            assert_eq!(i64::from(diagram.writhe()), signs, "{}", tabled.name);
        }
    }
    // No two prime knots through eight crossings share a polynomial.
    for (i, a) in TABLE.iter().enumerate() {
        assert!(TABLE[i + 1..].iter().all(|b| b.alexander != a.alexander), "{}", a.name);
    }
}

/// What is drawn shows again the drawing it was made from.
#[test]
fn a_drawing_lifted_into_space_shows_itself() {
    for tabled in TABLE.iter().filter(|t| t.word.len() < 8) {
        let diagram = braid(tabled.word);
        let again = crossings(&drawn(&diagram)).unwrap();
        assert_eq!(again.crossings.len(), diagram.len(), "{}", tabled.name);
        let again = again.diagram().unwrap().unwrap();
        assert_eq!(again.writhe(), diagram.writhe());
        assert_eq!(alexander(&again).unwrap(), tabled.alexander, "{}", tabled.name);
    }
}

/// Codes. Source: planar-diagram and Dowker codes of 3_1, 4_1 and 8_19 in C. Livingston, A. H. Moore, KnotInfo.
#[test]
fn codes_give_the_knots_that_they_name() {
    let right = Diagram::of_planar_code(&[[1, 5, 2, 4], [3, 1, 4, 6], [5, 3, 6, 2]]).unwrap();
    assert_eq!((right.writhe(), alexander(&right).unwrap()), (3, vec![1, -1, 1]));
    let eight = Diagram::of_planar_code(&[[4, 2, 5, 1], [8, 6, 1, 5], [6, 3, 7, 4], [2, 7, 3, 8]]).unwrap();
    assert_eq!((eight.writhe(), alexander(&eight).unwrap()), (0, vec![1, -3, 1]));
    let loop_of_one = Diagram::of_planar_code(&[[1, 2, 2, 1]]).unwrap();
    assert_eq!(alexander(&loop_of_one).unwrap(), [1]);
    let trefoil = gauss_diagram(&[vec![1, -2, 3, -1, 2, -3]]).unwrap();
    assert_eq!((trefoil.writhe(), alexander(&trefoil).unwrap()), (3, vec![1, -1, 1]));
    let hopf = gauss_diagram(&[vec![1, -2], vec![2, -1]]).unwrap();
    assert_eq!((hopf.writhe(), alexander(&hopf).unwrap()), (2, vec![-1, 1]));
    for (code, polynomial) in [
        (vec![4, 6, 2], vec![1, -1, 1]),
        (vec![4, 6, 8, 2], vec![1, -3, 1]),
        (vec![4, 8, -12, 2, -14, -16, -6, -10], vec![1, -1, 0, 1, 0, -1, 1]),
    ] {
        assert_eq!(
            alexander(&dowker_diagram(std::slice::from_ref(&code)).unwrap()).unwrap(),
            polynomial,
            "{code:?}"
        );
    }
}

/// What is written of every table knot's drawing as a Gauss code gives the knot again.
#[test]
fn a_gauss_code_survives_writing_and_reading() {
    for tabled in TABLE {
        let view = crossings(&braid_rings(tabled.word, None, 6).unwrap()).unwrap();
        let again = gauss_diagram(&view.code).unwrap();
        assert_eq!(alexander(&again).unwrap(), tabled.alexander, "{}", tabled.name);
    }
}

#[test]
fn codes_that_close_no_knot_are_refused() {
    let says = |made: Result<Diagram, FormFault>| made.unwrap_err().to_string();
    assert!(says(gauss_diagram(&[vec![1, 2, -1, -2]])).contains("closes no knot"));
    assert!(says(gauss_diagram(&[vec![1, -2, 2]])).contains("only once"));
    assert!(says(gauss_diagram(&[vec![1, 1]])).contains("wrongly"));
    assert!(says(gauss_diagram(&[vec![0, 0]])).contains("wrongly"));
    assert!(says(gauss_diagram(&[vec![]])).contains("0 crossings"));
    assert!(says(gauss_diagram(&[vec![i64::MIN]])).contains("only once"));
    assert!(says(dowker_diagram(&[vec![4, 6, 8, 10, 2]])).contains("closes no knot"));
    assert!(says(dowker_diagram(&[vec![4, 4]])).contains("each once"));
    assert!(says(Diagram::of_planar_code(&[[1, 2, 1, 2]])).contains("closes no knot"));
    assert!(says(Diagram::of_planar_code(&[[1, 2, 3, 4]])).contains("stands twice"));
    assert!(says(Diagram::of_planar_code(&[])).contains("no crossing"));
    assert!(braid_rings(&[1, 0], None, 6).is_err() && braid_rings(&[3], Some(3), 6).is_err());
}

/// Determinants of 2-bridge links are numerators of their continued fractions; P(-2, 3, 7) has Lehmer's polynomial.
/// Sources: J. H. Conway (1970); E. Hironaka, Experimental Mathematics 10 (2001) 65 (at -t).
#[test]
fn families_are_what_their_numbers_say() {
    for twists in [
        vec![3],
        vec![2],
        vec![2, 2],
        vec![3, 2],
        vec![4, 2],
        vec![2, 1, 2],
        vec![2, 1, 1, 2],
        vec![3, 1, 1, 1, 1, 3],
    ] {
        let (p, _) = twists.iter().rev().fold((1, 0), |(p, q), a| (a * p + q, p));
        let diagram = two_bridge_diagram(&twists).unwrap();
        assert_eq!(determinant(&alexander(&diagram).unwrap()), p, "{twists:?}");
        // Of one strand when the numerator is odd, else of two.
        assert_eq!(diagram.walks().len() as i64, 2 - p % 2, "{twists:?}");
    }
    let pretzel = |columns: &[i64]| alexander(&pretzel_diagram(columns).unwrap()).unwrap();
    assert_eq!(pretzel(&[-2, 3, 7]), [1, -1, 0, 1, -1, 1, -1, 1, 0, -1, 1]);
    assert_eq!(pretzel(&[-2, 3, 3]), [1, -1, 0, 1, 0, -1, 1]);
    assert_eq!(pretzel(&[3, 3, -3]), [2, -5, 2]);
    assert!(pretzel_diagram(&[3]).is_err() && two_bridge_diagram(&[2, 0]).is_err());
}

/// A ring laid over a ring comes apart: its polynomial is zero.
#[test]
fn what_comes_apart_has_no_polynomial() {
    let apart = gauss_diagram(&[vec![1, 2], vec![-1, -2]]).unwrap();
    assert_eq!(alexander(&apart).unwrap(), [0i64; 0]);
}

/// Conway's numbers are those of the knot: the numerator of their fraction is the determinant, and so is that of the even
/// numbers; the plat drawn by these has the table's Alexander polynomial.
#[test]
fn plats_are_the_knots_they_are_said_to_be() {
    for (name, conway) in PLATS {
        let known = TABLE.iter().find(|t| t.name == *name).unwrap();
        let numerator = |all: &[i64]| all.iter().rev().fold((1, 0), |(p, q), a| (a * p + q, p)).0;
        assert_eq!(numerator(conway).abs(), determinant(known.alexander), "{name}");
        let even = even_twists(conway);
        assert_eq!(numerator(&even).abs(), numerator(conway).abs(), "{name}: {even:?}");
        assert!(
            even.len().is_multiple_of(2) && even.iter().all(|a| a % 2 == 0 && *a != 0),
            "{name}: {even:?}"
        );
        let view = crossings(&[plat_ring(&even)]).unwrap();
        let polynomial = alexander(&view.diagram().unwrap().unwrap()).unwrap();
        assert_eq!(polynomial, known.alexander, "{name}: {even:?}");
    }
}

//! Surfaces of the module `minimal`, measured at places and along lines laid on them.

use ogee::form::Bounded;
use ogee::value::Value;
use ogee::{Ogee, Outcome};

fn number(script: &str) -> f64 {
    let text = format!("import \"minimal\" as minimal;\n{script}");
    match Ogee::new().run(&text) {
        Ok(outcome) => outcome.value.number().unwrap_or(f64::NAN),
        Err(fault) => panic!("{}", fault.report()),
    }
}

/// Coordinate `axis` of a surface at parameters (u, v).
fn at(surface: &str, [u, v]: [f64; 2], axis: usize) -> f64 {
    number(&format!("points(laid(curve(|t| [{u} + t, {v}, 0], 0, 0.05), {surface}), 2)[0][{axis}]"))
}

/// Source: A. Gray, Modern Differential Geometry (1998), after C. J. Costa (1984); values by quadrature of the formulas.
#[test]
fn costas_surface_passes_known_places() {
    for (place, wanted) in [
        ([0.25, 0.25], [-0.955_049_447_257, -0.955_049_447_257, 0.0]),
        ([0.3, 0.1], [-1.453_266_593, -0.636_656_289, -0.665_055_519]),
        ([0.6, 0.35], [0.360_676_610, -0.474_500_967, -0.105_999_856]),
    ] {
        for (axis, wanted) in wanted.into_iter().enumerate() {
            let found = at("minimal::costa(1)", place, axis);
            assert!((found - wanted).abs() < 1e-8, "{place:?} {axis}: {found}, wanted {wanted}");
        }
    }
}

/// The surface of Chen and Gackstatter comes home round both ways of its torus.
/// Source: C. C. Chen, F. Gackstatter, Mathematische Annalen 259 (1982) 359.
#[test]
fn the_torus_of_chen_and_gackstatter_closes() {
    let surface = "minimal::chen_gackstatter(1)";
    for ([u, v], [across, up]) in
        [([0.1, 0.37], [1.0, 0.0]), ([0.41, 0.2], [0.0, 1.0]), ([0.3, 0.05], [1.0, 0.0])]
    {
        for axis in 0..3 {
            let (here, there) = (at(surface, [u, v], axis), at(surface, [u + across, v + up], axis));
            assert!((here - there).abs() < 1e-9, "{u} {v} {axis}: {here}, come home {there}");
        }
    }
    // Its middle: ℘ = e₁ at the half period, A = 0.1578723704.
    let top = at("minimal::chen_gackstatter(1)", [0.5, 0.0], 2);
    assert!((top - 0.157_872_370_4 * 6.875_185_818_02).abs() < 1e-8, "{top}");
}

/// Lengths of lines on Henneberg's, Bour's and Richmond's surfaces agree with their metrics: radial lines of Weierstrass
/// data f, g have the speed ½|f|(1 + |g|²).
#[test]
fn lines_on_classical_surfaces_have_their_lengths() {
    let length =
        |surface: &str, line: &str| number(&format!("length(laid(curve(|t| {line}, 0.5, 1), {surface}))"));
    // f = 2, g² = r: ∫ (1 + r); f = r⁻², g = r²: ∫ ½ (r⁻² + r²).
    assert!((length("minimal::bour(1, 1)", "[t, 0.7, 0]") - 0.875).abs() < 1e-9);
    let exact = 0.5 * (1.0 + (1.0 - 0.125) / 3.0);
    assert!((length("minimal::richmond(0.4, 1, 1)", "[t, 0.7, 0]") - exact).abs() < 1e-9);
}

/// One drop of the unduloid with a = 1, c = 0.5 is 5.869848837 high; the values of c = 0.2 likewise.
/// Source: C. Delaunay (1841); periods by quadrature of the roulette.
#[test]
fn drops_of_the_unduloid_have_their_height() {
    for (c, period) in [(0.5, 5.869_848_837), (0.2, 6.219_874_185)] {
        let text = format!("import \"minimal\" as minimal;\nminimal::unduloid({c}, 1, 1)");
        let Ok(Outcome { value: Value::Surface(surface), .. }) = Ogee::new().run(&text) else {
            panic!("{text}")
        };
        let found = surface.bounds().unwrap().size();
        assert!((found.z - period).abs() < 1e-3, "{c}: {found:?}, wanted {period}");
        assert!((found.x - 2.0 * (1.0 + c)).abs() < 1e-3, "{c}: {found:?}");
    }
}

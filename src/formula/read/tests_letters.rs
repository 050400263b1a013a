//! Letters, names, indices and functions by other names, against values worked out by hand.

use super::read;
use super::tests::{AT, all_are, points_are, reading, refused, said};
use crate::formula::read_with;

#[test]
fn e_is_a_letter_among_its_neighbours() {
    for (text, letters) in [
        ("a x^2 + b y^2 + c z^2 + d x + e y + f z + g = 0", "abcdefg"),
        ("z = a + bx + cy + dxy + ex^2 + fy^2", "abcdef"),
        ("ax+by+cz+d=e", "abcde"),
    ] {
        let r = reading(text);
        assert!(letters.chars().all(|c| r.free.contains(&c.to_string())), "{text}: {:?}", r.free);
        said(text, "not as Euler's number");
    }
    let [x, y, z] = AT;
    let lets = [("e".to_owned(), 2.0)];
    assert_eq!(read_with("d x + e y + f z = 0", &lets).unwrap().free, ["d", "f"]);
    all_are(&[("z = e x + y", z - std::f64::consts::E * x - y)]);
    assert!(!reading("z = a e^x + b y + c + d x").free.contains(&"e".to_owned()));
}

#[test]
fn a_component_given_twice_is_refused() {
    for text in [
        "x = cos t, y = sin t, z = t, z = 2t",
        "x = cos t, y = sin t, z = t; x = 3 cos t, y = 3 sin t, z = t",
        "x = cos t, x = sin t, z = t",
    ] {
        assert!(refused(text).what.contains("a second time"), "{text}");
    }
}

#[test]
fn coordinates_with_an_index_alone_are_no_labels() {
    assert!(refused("z_x = y").what.contains("derivative"));
    assert!(refused("x_{i+1} = x_i + y").what.contains("next of several"));
    assert_eq!(reading("x_1 = y").free, ["x_1"]);
    let [x, y, z] = AT;
    all_are(&[("x_1 + x_2 = x_3", x + y - z)]);
}

#[test]
fn values_of_code_that_nothing_uses_are_told() {
    let [_, y, _] = AT;
    let text = "float d1 = length(p) - 1.0; float d2 = p.y;";
    all_are(&[(text, y)]);
    said(text, "d1 was left out");
    said("x**2 + y**2 - z\nx**2 - y**2 - z", "left out");
}

#[test]
fn what_is_no_shape_is_refused() {
    for (text, what) in [
        (r"\dot{x} = y", "derivative in time"),
        (r"\ddot x + y = z", "derivative in time"),
        ("d/dx (x^2) = z", "derivatives"),
        (r"\frac{d}{dx} x^2 = z", "derivatives"),
        ("1/(x-x) = y", "divides by 0"),
        ("x,,y", "between these two commas"),
        (r"\begin{matrix} a & b \\ c & d \end{matrix}", "4 components"),
        (r"\left|\begin{matrix} x & y \\ 1 & 2 \end{matrix}\right| = z", "determinant"),
        ("rotate y = x^2 around the y-axis", "rotate"),
        ("surface of revolution of y = cos x", "revolution"),
        ("x^2+y^2=1 vs z", "vs"),
        ("r = Y(θ,φ)", "Y is not known"),
        ("z = maxxy", "max needs"),
        ("x^2 + y^2 - z\nx^2 - y^2 - z", "several formulas"),
    ] {
        let said = refused(text);
        assert!(said.what.contains(what), "{text}: {}", said.what);
    }
    let [x, y, z] = AT;
    all_are(&[("hyperboloid of revolution x²+y²-z²=1", x * x + y * y - z * z - 1.0)]);
    assert!(read("1/max(0, x - 100) = y").is_ok());
    points_are(
        "helix rotating around the z-axis: x = cos t, y = sin t, z = t",
        0.4,
        [0.4f64.cos(), 0.4f64.sin(), 0.4],
    );
}

#[test]
fn doubtful_reaches_are_told() {
    said("z = e^-x²/2", "ends before the slash");
    said("z = e^-x^2/2", "ends before the slash");
    said(r"z = \prod_{k=1}^{3}\cos(kx)\,\sin y", "the product takes in");
    said("r = cos 4θ", "only where the radius is not negative");
    let [x, y, _] = AT;
    all_are(&[("r(t) = 1 + cos t", x.hypot(y) - 1.0 - y.atan2(x).cos())]);
}

#[test]
fn names_glued_marked_and_indexed_are_told_apart() {
    let [x, y, z] = AT;
    all_are(&[
        (
            r"a_{11}x^2+2a_{12}xy+a_{22}y^2=z,\ a_{11}=1,\ a_{12}=0.5,\ a_{22}=2",
            x * x + x * y + 2.0 * y * y - z,
        ),
        ("(x - x0)^2 + y^2 = z, x0 = 2", (x - 2.0).powi(2) + y * y - z),
        ("abxyz = 1, a=2, b=3", 6.0 * x * y * z - 1.0),
        ("x' = x - 1, x'^2 + y^2 = z", (x - 1.0).powi(2) + y * y - z),
        ("sin(@P.x)*cos(@P.y) + @P.z", x.sin() * y.cos() + z),
    ]);
    assert!(read("y' = x + y").is_err());
}

#[test]
fn functions_by_their_name_or_another_are_read() {
    let [x, y, z] = AT;
    let bowl = x * x + y * y - z;
    let terms = |k: f64| (k * x).cos() / k;
    all_are(&[
        ("w = f(x,y,z) = x^2 + y^2 - z", bowl),
        ("0 < f(x,y,z) < 1 where f = x^2+y^2-z", (-bowl).max(bowl - 1.0)),
        ("f(x,y,z) = x^2+y^2-z, M = f^{-1}(0.5)", bowl - 0.5),
        ("the level set f = 0.5 of f(x,y,z) = x^2 + y^2 - z", bowl - 0.5),
        ("z = ∑(k=1 to 3) cos(kx)/k", z - (terms(1.0) + terms(2.0) + terms(3.0))),
        ("sen(x)cos(y) = z", x.sin() * y.cos() - z),
        ("sen x cos y = z", x.sin() * y.cos() - z),
        (r"\|(x,y)\|_2^2 = z", bowl),
        ("‖p‖₁ = 1", x.abs() + y.abs() + z.abs() - 1.0),
        (r"\|(x,y,z)\|_\infty = 1", x.abs().max(y.abs()).max(z.abs()) - 1.0),
    ]);
    said("sen x = z", "sen read as sin");
    assert!(refused("‖p‖_3 = 1").what.contains("orders"));
}

#[test]
fn curves_by_points_and_vectors_are_read() {
    let t: f64 = 0.4;
    points_are(
        "(x(t), y(t), z(t)) = (cos 2t, sin 2t, cos 3t)",
        t,
        [(2.0 * t).cos(), (2.0 * t).sin(), (3.0 * t).cos()],
    );
    points_are("<x, y, z> = <cos t, sin t, t>", t, [t.cos(), t.sin(), t]);
    points_are("r = a + t b, a = (1,2,3), b = (1,0,-1)", t, [1.0 + t, 2.0, 3.0 - t]);
}

//! Commands that draw, ranges beside them and words around, against values worked out by hand.

use super::tests::{AT, all_are, points_are, reading, refused, said};
use super::tests_habits::{limits, ranges};
use crate::formula::Kind;

#[test]
fn what_is_drawn_over_the_plane_is_a_height() {
    let [x, y, z] = AT;
    let saddle = z - x * x + y * y;
    let wave = z - x.sin() * y.cos();
    all_are(&[
        ("splot x**2 - y**2", saddle),
        ("splot [-2:2][-1:1] x**2 - y**2 with lines", saddle),
        ("plot3d(x^2 - y^2, (x,-1,1), (y,-1,1))", saddle),
        ("plot z = x^2 - y^2 from x=-1 to 1 and y=-1 to 1", saddle),
        ("ezsurf('x^2 - y^2')", saddle),
        ("surf(X,Y,sin(X).*cos(Y))", wave),
        ("ax.plot_surface(X, Y, np.sin(X)*np.cos(Y))", wave),
        ("[X,Y] = meshgrid(-2:.1:2,-2:.1:2);\nsurf(X,Y,sin(X).*cos(Y))", wave),
    ]);
    let text = "plot z = x^2 - y^2 from x=-1 to 1 and y=-2 to 2";
    assert_eq!(limits(text), [("x".to_owned(), -1.0, 1.0), ("y".to_owned(), -2.0, 2.0)]);
    assert_eq!(limits("splot [-2:2][-1:1] x*y").len(), 2);
}

#[test]
fn coordinates_by_parameters_are_no_plane() {
    let r = reading("X = U*np.cos(V)\nY = U*np.sin(V)\nax.plot_surface(X, Y, U*V)");
    assert!(matches!(r.kind, Kind::Surface { .. }));
    let got = r.at(&[0.4, 0.7], &[]).unwrap();
    assert!((got[2] - 0.28).abs() < 1e-12 && (got[0] - 0.4 * 0.7f64.cos()).abs() < 1e-12, "{got:?}");
}

#[test]
fn what_is_drawn_at_a_level_is_an_equation() {
    let [x, y, z] = AT;
    let ball = x * x + y * y + z * z;
    all_are(&[
        ("isosurface(x.^2 + y.^2 + z.^2, 1)", ball - 1.0),
        ("implicit_plot3d(x^2+y^2+z^2-1, (x,-2,2), (y,-2,2), (z,-2,2))", ball - 1.0),
        ("contour3d(x**2 + y**2 + z**2 - 2)", ball - 2.0),
    ]);
}

#[test]
fn two_ends_of_a_parameter_are_its_range() {
    let t: f64 = 0.4;
    for text in [
        "x=sin(t), y=cos(t), z=sin(2t), t=[0,6]",
        "t=[0,6]\nx=sin(t)\ny=cos(t)\nz=sin(2t)",
        "x=sin(t), y=cos(t), z=sin(2t), t:[0,6]",
    ] {
        points_are(text, t, [t.sin(), t.cos(), (2.0 * t).sin()]);
        assert_eq!(ranges(&reading(text)), [("t".to_owned(), Some((0.0, 6.0)))], "{text}");
    }
    let disc = reading("x=u*cos(v); y=u*sin(v); z=u; u:[0,1], v:[0,2]");
    assert_eq!(ranges(&disc), [("u".to_owned(), Some((0.0, 1.0))), ("v".to_owned(), Some((0.0, 2.0)))]);
}

#[test]
fn components_stand_in_a_row_or_with_their_parameter_below() {
    let t: f64 = 0.4;
    let want = [t.sin(), t.cos(), t];
    for text in [
        "X = sin(t) Y = cos(t) Z = t",
        "X = sin(t)  Y = cos(t)  Z = t",
        "x_t = sin t, y_t = cos t, z_t = t",
        "x_t = sin(t)\ny_t = cos(t)\nz_t = t",
    ] {
        points_are(text, t, want);
    }
    said("x_t = sin t, y_t = cos t, z_t = t", "read as the components");
}

#[test]
fn lone_signs_are_refused() {
    for text in ["=", " = ", "*", "* ", ", ="] {
        refused(text);
    }
}

#[test]
fn marks_and_words_around_a_formula_are_left_out() {
    let [x, y, z] = AT;
    let cone = x * x + y * y - z * z - 1.0;
    all_are(&[
        ("I'm trying to plot x^2 + y^2 - z^2 = 1 in 3D", cone),
        ("* x**2 + y**2 - z**2 - 1", cone),
        (r"\sin x + 1{.}5 \cos y = z", x.sin() + 1.5 * y.cos() - z),
        ("∑ₖ₌₁³ cos(kx)/k = z", x.cos() + (2.0 * x).cos() / 2.0 + (3.0 * x).cos() / 3.0 - z),
        ("z = k x y, k being 0.5", z - 0.5 * x * y),
        ("z = a x y with a := 2", z - 2.0 * x * y),
        ("z = exp -(x^2+y^2)", z - (-x * x - y * y).exp()),
    ]);
}

//! Lists, calls, vectors and levels of pasted texts that were once misread, against values worked out by hand.

use super::tests::{AT, all_are, points_are, reading, refused, said};
use super::tests_habits::{limits, ranges, relation};
use crate::formula::{Kind, Relation};

#[test]
fn bars_at_the_start_are_a_size() {
    let [x, y, z] = AT;
    all_are(&[
        ("|sin x| cos y = z", x.sin().abs() * y.cos() - z),
        ("|cos x| sin y|z| = 0.2", x.cos().abs() * y.sin() * z.abs() - 0.2),
        ("|x y| cos z = 1", (x * y).abs() * z.cos() - 1.0),
        ("|a x| sin y = z, a=2", (2.0 * x).abs() * y.sin() - z),
        ("|sin x cos y| sin z = 0.1", (x.sin() * y.cos()).abs() * z.sin() - 0.1),
        ("|x| * y**2 - z", x.abs() * y * y - z),
        ("|x, y, z| x*y - z", x * y - z),
        ("|p| p.x*p.y - p.z**2", x * y - z * z),
    ]);
}

#[test]
fn a_condition_on_a_list_of_coordinates_holds_for_each() {
    let [x, y, z] = AT;
    let unit = |v: f64| (-v).max(v - 1.0);
    let cube = unit(x).max(unit(y)).max(unit(z));
    all_are(&[
        ("0 < x, y, z < 1", cube),
        ("0<=x,y,z<=1", cube),
        ("0<x<1,0<y<1,0<z<1", cube),
        ("0<=x<=1,0<=y<=1,0<=z<=1", cube),
        ("1 > x, y, z > 0", cube),
        ("-1<x,y<1", (-1.0 - x).max(x - 1.0).max(-1.0 - y).max(y - 1.0)),
        ("x,y,z>0, x+y+z<1", (-x).max(-y).max(-z).max(x + y + z - 1.0)),
        ("x, y > 0", (-x).max(-y)),
        ("x^2+y^2<1,0<z<1", (x * x + y * y - 1.0).max(unit(z))),
        ("x^2 + y^2 = z^2, x, y > 0", x * x + y * y - z * z),
    ]);
    let quarter = [("x".to_owned(), 0.0, f64::INFINITY), ("y".to_owned(), 0.0, f64::INFINITY)];
    assert_eq!(limits("x^2 + y^2 = z^2, x, y > 0"), quarter);
    let square = [("x".to_owned(), 0.0, 1.0), ("y".to_owned(), 0.0, 1.0)];
    assert_eq!(limits("z = x*y, 0<=x<=1,0<=y<=1"), square);
}

#[test]
fn a_call_on_the_left_side_is_no_definition() {
    for (text, name) in [
        ("J_0(r) = z", "J_0"),
        ("f(x) = z", "f"),
        ("P(x) = y", "P"),
        ("f(z) = x^2+y^2", "f"),
        ("f(x,y) = z", "f"),
    ] {
        let f = refused(text);
        assert!(f.what.contains(&format!("the function {name} is not known")), "{text}: {f}");
    }
    let [x, y, z] = AT;
    all_are(&[
        ("f(x,y) = x^2 + y^2\nf(x,y) = z", x * x + y * y - z),
        ("f(x, y, z) = x^2 + y - z", x * x + y - z),
        ("f(x, y) = x^2 + y", z - (x * x + y)),
    ]);
}

#[test]
fn rows_of_array_code_are_vectors() {
    let [x, y, z] = AT;
    let length = (x * x + y * y + z * z).sqrt();
    all_are(&[
        ("norm([x y z]) = 1", length - 1.0),
        ("norm([x -y z+1]) = 1", (x * x + y * y + (z + 1.0).powi(2)).sqrt() - 1.0),
        ("max([x y z]) = 1", x.max(y).max(z) - 1.0),
        ("sum([x y z]) = 1", x + y + z - 1.0),
        ("sum([x y z].^2) - 1", length * length - 1.0),
        ("[x + y] z = 1", (x + y) * z - 1.0),
        ("z = sin[x y]", z - (x * y).sin()),
    ]);
}

#[test]
fn the_level_of_a_drawing_is_kept() {
    let [x, y, z] = AT;
    let bowl = x * x + y * y - z - 0.5;
    all_are(&[
        ("F = X.^2+Y.^2-Z; isosurface(X,Y,Z,F,0.5)", bowl),
        ("F = X.^2+Y.^2-Z; fv = isosurface(X,Y,Z,F,0.5);", bowl),
        ("F = X.^2+Y.^2-Z; draw(F, 0.5)", bowl),
        ("draw(x, y, z, x^2+y^2-z, 0.5)", bowl),
        ("F = X.^2+Y.^2-Z; isosurface(X,Y,Z,F,0)", bowl + 0.5),
        ("x**2 + y**2 - z**2, level=1", x * x + y * y - z * z - 1.0),
        ("x^2 + y^2 - z^2, level = -1", x * x + y * y - z * z + 1.0),
    ]);
    assert_eq!(relation("F = X.^2+Y.^2-Z; isosurface(X,Y,Z,F,0.5)"), Relation::Equal);
    said("x**2 + y**2 - z**2, level=1", "level");
}

#[test]
fn components_may_follow_one_another() {
    points_are("y = x^2, z = y^2", 0.5, [0.5, 0.25, 0.0625]);
    points_are("z = y^2, y = x^2", 0.5, [0.5, 0.25, 0.0625]);
    points_are("y = 2x; z = y^2", 0.5, [0.5, 1.0, 1.0]);
    points_are("y = sin x, z = cos y", 0.5, [0.5, 0.5f64.sin(), 0.5f64.sin().cos()]);
    points_are("x = z^2, y = x + z", 0.5, [0.25, 0.75, 0.5]);
}

#[test]
fn a_letter_set_as_a_vector_is_the_point() {
    let [x, y, z] = AT;
    let square = x * x + y * y + z * z;
    all_are(&[
        (r"\vec{x}\cdot\vec{x}=1", square - 1.0),
        (r"\mathbf{x}\cdot\mathbf{x}=1", square - 1.0),
        (r"|\mathbf{x}|^2=1", square - 1.0),
        (r"\|\boldsymbol{x}\| = 1", square.sqrt() - 1.0),
        (r"\mathbf x \cdot \mathbf x = \cos(\|\mathbf x\|)", square - square.sqrt().cos()),
        (r"\mathbf{x}^2 + \mathbf{y}^2 = z", x * x + y * y - z),
    ]);
    said(r"\vec{x}\cdot\vec{x}=1", "the point");
    let curve = reading(r"\mathbf{x}(t) = (\cos t, \sin t, t)");
    assert!(matches!(curve.kind, Kind::Curve { .. }));
}

#[test]
fn a_level_may_be_a_letter() {
    let [x, y, z] = AT;
    let (bowl, cone) = (x * x + y * y + z.powi(4) - 2.0, x * x + y * y - z * z + 1.0);
    all_are(&[
        ("f(x,y,z)=c with f(x,y,z)=x^2+y^2+z^4 and c=2", bowl),
        ("f(x,y,z) = c, where c = 2 and f(x,y,z) = x²+y²+z⁴", bowl),
        ("f(x,y,z) = x^2+y^2+z^4, f(x,y,z) = c, c = 2", bowl),
        ("c = 2, f(x,y,z) = x^2+y^2+z^4, f(x,y,z) = c", bowl),
        ("f(x,y,z) = c\nwith\nf(x,y,z) = x^2 + y^2 + z^4\nand c = 2", bowl),
        ("F(x,y,z) = C\nwhere F = x^2+y^2+z^4 and C = 2", bowl),
        ("f(x,y,z) = r where f(x,y,z) = x^2+y^2+z^4, r = 2", bowl),
        ("f(x,y,z) = a b, f(x,y,z) = x^2+y^2+z^4, a = 1, b = 2", bowl),
        ("f(x,y,z) = c where f(x,y,z) = x^2+y^2-z^2, c = -1", cone),
        ("f(x,y,z) = x^2+y^2-z^2\nf = c\nc = -1", cone),
        ("f(x,y,z) = -c, f(x,y,z) = x^2+y^2-z^2, c = 1", cone),
        (r"f(x,y,z)=c \text{ where } f(x,y,z)=x^{2}+y^{2}-z^{2} \text{ and } c=-1", cone),
        ("f(x,y)=c, f(x,y)=x^2+y^2, c=4", x * x + y * y - 4.0),
    ]);
    assert_eq!(relation("f(x,y,z) = c, f(x,y,z) = x²+y²+z⁴"), Relation::Equal);
    assert_eq!(reading("f(x,y,z) = c, f(x,y,z) = x²+y²+z⁴").free, ["c"]);
    assert_eq!(reading("g(x,y,z) = t, g(x,y,z) = x^2 + y^2 - z").free, ["t"]);
}

#[test]
fn a_function_of_space_may_be_compared() {
    let [x, y, z] = AT;
    let ball = x * x + y * y + z * z;
    all_are(&[
        ("F(x,y,z) < 0 where F(x,y,z) = x^2+y^2+z^2-1", ball - 1.0),
        ("F(x,y,z) = x^2+y^2+z^2-1\nF < 0", ball - 1.0),
        ("f(x,y,z) ≤ c where f(x,y,z) = x^2+y^2+z^2, c = 3", ball - 3.0),
        ("f(x,y,z)=x^2+y^2+z^2, f < 1, z > 0", (ball - 1.0).max(-z)),
    ]);
    assert_eq!(relation("F(x,y,z) < 0 where F(x,y,z) = x^2+y^2+z^2-1"), Relation::Less);
}

#[test]
fn values_may_stand_behind_an_equation() {
    let [x, y, z] = AT;
    let egg = x * x + y * y / 4.0 + z * z / 9.0 - 1.0;
    all_are(&[
        ("x^2/a^2+y^2/b^2+z^2/c^2=1 a=1 b=2 c=3", egg),
        ("x^2+y^2+z^2=a^2 a=2", x * x + y * y + z * z - 4.0),
        ("x^2 + y^2 + z^2 = R^2   R = 1.5", x * x + y * y + z * z - 2.25),
        ("z = a x^2 + b y^2 a = 1 b = -2", z - x * x + 2.0 * y * y),
        ("x^2+y^2=abc a=2 b=3 c=4", x * x + y * y - 24.0),
        ("sin(a x) + cos(b y) = z a=2 b=3", (2.0 * x).sin() + (3.0 * y).cos() - z),
    ]);
    for text in ["x^2+y^2 = b r = 2", "z = a x = y", "x^2 + y^2 = r^2 con r = 2"] {
        assert!(refused(text).what.contains("in a row"), "{text}");
    }
}

#[test]
fn a_list_may_be_followed_by_the_range_of_its_parameter() {
    for text in [
        "(t cos t, t sin t, t) 0..20",
        "(a t cos t, t sin t, t) a=1 t=0..20",
        "for t in [0, 20]:\n  x = t cos t\n  y = t sin t\n  z = t",
        "for t in [0, 20]: x = t cos t, y = t sin t, z = t",
    ] {
        points_are(text, 2.0, [2.0 * 2f64.cos(), 2.0 * 2f64.sin(), 2.0]);
        assert_eq!(ranges(&reading(text)), [("t".to_owned(), Some((0.0, 20.0)))], "{text}");
    }
}

#[test]
fn points_may_be_equal() {
    let [x, y, z] = AT;
    let fraction = z - x * y / (x * x + y * y);
    all_are(&[
        (
            r"f(x,y) = \begin{cases} \frac{xy}{x^2+y^2} & (x,y)\neq(0,0)\\ 0, & (x,y)=(0,0)\end{cases}",
            fraction,
        ),
        (
            r"z = \begin{cases} \frac{xy}{x^2+y^2}, & \text{if } (x,y)\ne(0,0)\\ 0 & \text{if } (x,y)=(0,0).\end{cases}",
            fraction,
        ),
        (r"z = \begin{cases} 0 & (x,y)=(0,0)\\ \frac{xy}{x^2+y^2} & \text{otherwise}\end{cases}", fraction),
        ("z = if((x,y) != (0,0), xy/(x^2+y^2), 0)", fraction),
        ("z = if((x,y) = (0.37,1), 1, y)", z - y),
    ]);
}

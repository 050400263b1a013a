//! Signs, words and layouts of pasted texts that were once misread or passed over, against values worked out by hand.

use super::tests::{AT, all_are, points_are, reading, refused, said};
use super::tests_habits::{limits, ranges, relation};
use crate::formula::{Kind, Relation};

#[test]
fn a_range_on_its_own_line_may_begin_with_a_minus_sign() {
    let pi = std::f64::consts::PI;
    for text in [
        "x = u cos v\ny = u sin v\nz = v\n-1 <= u <= 1, -π <= v <= π",
        "x = u cos v\ny = u sin v\nz = v\n−1 ≤ u ≤ 1\n−π ≤ v ≤ π",
        "-1 < u < 1\n-π < v < π\nx = u cos v\ny = u sin v\nz = v",
    ] {
        let r = reading(text);
        let want = [("u".to_owned(), Some((-1.0, 1.0))), ("v".to_owned(), Some((-pi, pi)))];
        assert_eq!(ranges(&r), want, "{text}");
        assert_eq!(r.at(&[0.5, 0.2], &[]).unwrap(), [0.5 * 0.2f64.cos(), 0.5 * 0.2f64.sin(), 0.2], "{text}");
    }
    let want = [("x".to_owned(), -1.0, 1.0), ("y".to_owned(), -2.0, 2.0)];
    assert_eq!(limits("z = x^2 - y^2\n-1 <= x <= 1\n-2 <= y <= 2"), want);
    assert_eq!(limits("x^2 + y^2 = z^2\n-1 < z < 1"), [("z".to_owned(), -1.0, 1.0)]);
    assert_eq!(limits("x^2 + y^2 = z^2\n-1 < z"), [("z".to_owned(), -1.0, f64::INFINITY)]);
    assert_eq!(limits("x^2 + y^2 = z^2\n+1 < z < 2"), [("z".to_owned(), 1.0, 2.0)]);
    assert!(refused("x = cos t\ny = sin t\nz = t - 1 < t").what.contains("condition"));
    let ball = "x^2 + y^2 + z^2\n-0.3 < z < 0.3";
    assert_eq!(limits(ball), [("z".to_owned(), -0.3, 0.3)]);
    said(ball, "range");
    let [x, y, z] = AT;
    all_are(&[("x^2 + y^2\n- z^2 = 1", x * x + y * y - z * z - 1.0), ("x^2\n-1 < y", x * x - 1.0 - y)]);
}

#[test]
fn a_whole_argument_ends_before_what_stands_apart() {
    let [x, y, z] = AT;
    let (r, around) = (x.hypot(y), y.atan2(x));
    all_are(&[
        (
            "2 sin x cos y e^{-(x^2+y^2)/10} = z",
            2.0 * x.sin() * y.cos() * (-(x * x + y * y) / 10.0).exp() - z,
        ),
        (r"\cos\theta\,e^{-r} = z", around.cos() * (-r).exp() - z),
        (r"\sin 2\theta\, r^2 = z", (2.0 * around).sin() * r * r - z),
        (r"\sin x\,y = z", x.sin() * y - z),
        (r"\sin 2\,x = z", (2.0 * x).sin() - z),
        (r"\sin x\frac{1}{y} = z", x.sin() / y - z),
        (r"\sin\frac{x}{2} = z", (x / 2.0).sin() - z),
        (r"\cos y\sqrt{1+x^2} = z", y.cos() * (1.0 + x * x).sqrt() - z),
        ("cos y √(1+x²) = z", y.cos() * (1.0 + x * x).sqrt() - z),
        ("sin 2πx = z", (2.0 * std::f64::consts::PI * x).sin() - z),
        ("sin 2√x = z", (2.0 * x.sqrt()).sin() - z),
    ]);
    said(r"\sin x\,y = z", "sin takes");
    let t: f64 = 0.4;
    let spiral = [t.cos() * (t / 10.0).exp(), t.sin() * (t / 10.0).exp(), t];
    points_are("x = cos t e^{t/10}, y = sin t e^{t/10}, z = t", t, spiral);
}

#[test]
fn a_root_of_one_is_the_root_of_what_follows() {
    let [x, y, z] = AT;
    let dome = z - (1.0 - x * x - y * y).sqrt();
    all_are(&[
        ("z = √1−x²−y²", dome),
        ("z = sqrt 1 - x^2 - y^2", dome),
        ("z = √4−x²−y²", z - (4.0 - x * x - y * y).sqrt()),
        ("√2 x + y = z", 2f64.sqrt() * x + y - z),
        ("z = √2−x²−y²", z - (2f64.sqrt() - x * x - y * y)),
        ("√4 + x = z", 2.0 + x - z),
        ("√1 + x² + y = z", 1.0 + x * x + y - z),
    ]);
    said("z = √1−x²−y²", "all that follows");
    said("z = √2−x²−y²", "takes only");
    said("sqrt x^2+y^2 = z", "takes only");
    said("√x²+y² = z", "takes only");
}

#[test]
fn powers_that_lost_their_brackets_are_said() {
    let [x, y, z] = AT;
    all_are(&[
        ("e^-0.5x^2 = z", (-0.5 * x * x).exp() - z),
        ("e^-2x = z", (-2.0 * x).exp() - z),
        ("e^-2 x = z", (-2f64).exp() * x - z),
        ("10^-3x = z", 0.001 * x - z),
        ("(x²+y²)½ = z", x.hypot(y) - z),
        ("e⁻⁽ˣ²⁺ʸ²⁾ = z", (-(x * x + y * y)).exp() - z),
    ]);
    for text in ["10^-3x = z", "x^-2y = z", "e^-xy = z"] {
        said(text, "the power takes only");
    }
    said("e^-0.5x^2 = z", "glued");
    all_are(&[("e^-0.5(x^2+y^2) = z", (-0.5 * (x * x + y * y)).exp() - z)]);
    for text in ["e^-x²-y² = z", "e^-x^2 - y^2 = z", "e^2(x+y) = z"] {
        said(text, "ends here");
    }
    said("(x²+y²)½ = z", "raising was lost");
    said("e⁻⁽ˣ²⁺ʸ²⁾ = z", "its power");
    assert!(reading("e^-x y = z").remarks.is_empty());
}

#[test]
fn braces_around_tables_and_words_are_only_groups() {
    let [x, y, z] = AT;
    for text in [
        r"{\displaystyle {\begin{aligned}x&=u\cos v\\y&=u\sin v\\z&=v\end{aligned}}}",
        r"{\begin{cases}x&=u\cos v\\y&=u\sin v\\z&=v\end{cases}}",
        r"\left\{{\begin{aligned}x&=u\cos v\\y&=u\sin v\\z&=v\end{aligned}}\right.",
        r"{\displaystyle \mathbf {x} (u,v)=\left({\begin{array}{c}u\cos v\\u\sin v\\v\end{array}}\right)}",
    ] {
        let r = reading(text);
        assert!(matches!(r.kind, Kind::Surface { .. }), "{text}");
        assert_eq!(r.at(&[0.5, 0.2], &[]).unwrap(), [0.5 * 0.2f64.cos(), 0.5 * 0.2f64.sin(), 0.2], "{text}");
    }
    all_are(&[
        (r"{\displaystyle z={\begin{cases}x&{\text{if }}y>0,\\0&{\text{otherwise.}}\end{cases}}}", z),
        (r"\mathop{\rm sech} x = z", 1.0 / x.cosh() - z),
        (r"{\rm sin} x + {\bf y}^2 = z", x.sin() + y * y - z),
        (r"x^{\text{2}} + y = z", x * x + y - z),
    ]);
}

#[test]
fn words_of_two_letters_with_a_value_are_names() {
    let [x, y, z] = AT;
    all_are(&[
        ("cx = cos(x); sy = sin(y)\ncx*sy = z", x.cos() * y.sin() - z),
        ("ax = abs(x); ay = abs(y)\nmax(ax, ay) = z", x.abs().max(y.abs()) - z),
        ("x2 = x*x; y2 = y*y\nx2 + y2 - z", x * x + y * y - z),
        ("a = 2\nax = z", 2.0 * x - z),
    ]);
    assert_eq!(reading("ax + by + cz = d").free, ["a", "b", "c", "d"]);
    assert_eq!(reading("rz = x").free, ["r"]);
}

#[test]
fn parts_of_a_list_that_is_the_point_are_coordinates() {
    let [x, y, z] = AT;
    all_are(&[
        ("x[0]^2 + x[1]^2 = z", x * x + y * y - z),
        ("x[0]**2 + x[1]**2 + x[2]**2 - 1", x * x + y * y + z * z - 1.0),
        ("p[0]*p[0]+p[1]*p[1]-p[2]", x * x + y * y - z),
        ("x[1]^2 + x[2]^2 = x[3]", x * x + y * y - z),
        ("def f(x):\n    return x[0]**2 + x[1]**2 - x[2]", x * x + y * y - z),
        ("const f = ([x,y,z]) => x*y - z", x * y - z),
        ("x_1^2 + x_2^2 = x_3", x * x + y * y - z),
        ("f(x₁, x₂, x₃) = x₁² + x₂x₃", x * x + y * z),
        ("x^2 + y^2 = z[3]", x * x + y * y - z),
    ]);
    said("x[0]^2 + x[1]^2 = z", "x[1] read as y");
    said("x_1^2 + x_2^2 = x_3", "x_2 read as y");
    points_are("x_1 = cos t, x_2 = sin t, x_3 = t", 0.4, [0.4f64.cos(), 0.4f64.sin(), 0.4]);
    assert_eq!(reading("x₁² + y = z").free, ["x_1"]);
    said("x^2 + y^2 = z[3]", "equation's number");
    said("a[3] x = z", "a times 3");
    refused("p[0] = abs(p[0]); p[0]*p[0] + p[1]*p[1] - p[2]**2");
}

#[test]
fn functions_of_two_coordinates_are_heights() {
    let [x, y, z] = AT;
    for text in [
        "lambda x,y: x*y",
        "@(x,y) x.*y",
        "(x,y) => x*y",
        "(x, y) ↦ xy",
        r"(x,y)\mapsto xy",
        "|x, y| x*y",
        "V = xy",
    ] {
        all_are(&[(text, z - x * y)]);
        assert_eq!(relation(text), Relation::Equal, "{text}");
        assert!(!reading(text).remarks.is_empty(), "{text}");
    }
    all_are(&[("lambda x,y,z: x*y", x * y), ("f = x y z", x * y * z), ("|x| y = z", x.abs() * y - z)]);
}

#[test]
fn orders_of_roots_and_bases_of_logarithms_stand_in_small_digits() {
    let [x, y, z] = AT;
    all_are(&[
        ("³√y + x = z", y.cbrt() + x - z),
        ("2 ⁴√x = z", 2.0 * x.powf(0.25) - z),
        ("⁵√y = z", -(0.7f64.powf(0.2)) - z),
        ("x³√z = y", x.powi(3) * z.sqrt() - y),
        ("log₂ x = z", x.log2() - z),
        ("log₁₀(x) = z", x.log10() - z),
        ("E^(-x^2) = z", (-x * x).exp() - z),
        (r"\binom{4}{2} x = z", 6.0 * x - z),
        ("sind(x) = z", x.to_radians().sin() - z),
    ]);
    said("E^(-x^2) = z", "E read as e");
    said("sind(x) = z", "degrees");
    assert_eq!(reading("E^2 = x").free, ["E"]);
    for text in ["z = Γ(x)", "z = erf(x)", "z = Ai(x)", "z = J_0(r)"] {
        assert!(refused(text).what.contains("only elementary"), "{text}");
    }
}

#[test]
fn lost_raisings_of_functions_and_of_e_are_told() {
    let [x, y, z] = AT;
    let bell = (-x * x - y * y).exp();
    all_are(&[
        ("sin2 x + cos2 y = z", x.sin().powi(2) + y.cos().powi(2) - z),
        ("sin2x = z", (2.0 * x).sin() - z),
        ("sqrt2 x = z", 2f64.sqrt() * x - z),
        ("z = e−(x2+y2)", z - bell),
        ("e-x2-y2 = z", bell - z),
        ("e - x2 = z", std::f64::consts::E - x * x - z),
        ("e-x = z", std::f64::consts::E - x - z),
    ]);
    said("sin2 x + cos2 y = z", "sin^2");
    said("z = e−(x2+y2)", "power of e");
}

#[test]
fn a_value_of_a_function_is_its_level() {
    let [x, y, z] = AT;
    all_are(&[
        ("g(x,y,z)=cos x+cos y+cos z; g=0.5", x.cos() + y.cos() + z.cos() - 0.5),
        ("F(x,y,z) ≡ x² + y² − z = 0", x * x + y * y - z),
    ]);
    assert_eq!(relation("g(x,y,z)=cos x+cos y+cos z; g=0.5"), Relation::Equal);
}

#[test]
fn values_and_regions_in_words_are_read() {
    let [x, y, z] = AT;
    let half = x * x + 0.5 * y - z;
    for text in [
        "x^2 + c y = z where c is 0.5",
        "x^2 + c y = z where c equals 0.5",
        "x^2 + c y = z with c≈0.5",
        "x^2 + c y = z [c=0.5]",
        "If c = 0.5 then x^2 + c y = z",
    ] {
        all_are(&[(text, half)]);
    }
    said("x^2 + c y = z with c≈0.5", "≈ read as =");
    let square = ["x", "y"].map(|n| (n.to_owned(), -1.0, 1.0));
    for text in [
        "z = xy on [-1,1]^2",
        "z = xy on [-1,1]²",
        "z = xy over the square [-1,1]×[-1,1]",
        "z = xy for |x|,|y| ≤ 1",
    ] {
        all_are(&[(text, z - x * y)]);
        assert_eq!(limits(text), square, "{text}");
    }
    assert_eq!(reading("|x|^p + |y|^p = z, p > 1").free, ["p"]);
    assert!(refused("if x > 0 then y else z").what.contains("choices"));
}

#[test]
fn numbers_and_letters_of_other_habits_are_read_and_told() {
    let [x, y, z] = AT;
    all_are(&[
        ("Let u = x - 1 and v = y + 1. z = uv", z - (x - 1.0) * (y + 1.0)),
        ("z = .5x + 2.y", z - 0.5 * x - 2.0 * y),
        ("1 000 x = z", 1000.0 * x - z),
        ("0x10 + x = z", 16.0 + x - z),
        ("x^{2}_{} + y = z", x * x + y - z),
        ("х² + у² = z", x * x + y * y - z),
        ("x_ + y = z", x + y - z),
    ]);
    said("1 000 x = z", "groups of three");
    said("0x10 + x = z", "base 16");
    said("х² + у² = z", "another alphabet");
    said("x_ + y = z", "subscript is missing");
    said(r"\begin{aligned} x=z", "no \\end");
    said(r"\begin{aligned} x=z \end{align}", "another name");
    refused("2 3 x = z");
    refused("x^2 100 = z");
    assert!(refused("x $ y = z").what.starts_with('$'));
}

#[test]
fn words_and_labels_around_a_formula_are_left_out() {
    let [x, y, z] = AT;
    let bowl = x * x + y * y - z;
    all_are(&[
        ("(a) x^2 + y^2 = z", bowl),
        ("x^2 + y^2 = z, the round bowl", bowl),
        ("x^2 + y^2 = z. The bowl is round.", bowl),
        ("The surface x^2 + y^2 = z is a circular paraboloid.", bowl),
        ("x^2 + y^2 = z.[1]", bowl),
    ]);
    said("(a) x^2 + y^2 = z", "equation's number");
    said("x^2 + y^2 = z, the round bowl", "left out");
    assert_eq!(reading("(a) x^2 + a y^2 = z").free, ["a"]);
    assert_eq!(reading("cos t, sin t, pitch t").free, ["pitch"]);
    points_are("x = t y = t^2 z = t^3", 0.4, [0.4, 0.4 * 0.4, 0.4f64.powi(3)]);
    refused("x = 2 y = 3 z");
}

#[test]
fn doubtful_signs_are_told() {
    let [x, y, z] = AT;
    all_are(&[
        ("50% x = z", 0.5 * x - z),
        ("y % 0.4 = z", y.rem_euclid(0.4) - z),
        ("x² + y² ≈ z", x * x + y * y - z),
        ("|x|y|z| = 1", x.abs() * y * z.abs() - 1.0),
        ("sin (x+y)(x-y) = z", (x + y).sin() * (x - y) - z),
    ]);
    said("50% x = z", "hundredths");
    said("y % 0.4 = z", "never below 0");
    said("x² + y² ≈ z", "≈");
    said("|x|y|z| = 1", "bars");
    said("sin (x+y)(x-y) = z", "first bracket");
    said("(x, y)", "surface in the plane");
    said("e^-x/2 = z", "before the slash");
    said("arccot x = z", "arctangent");
    all_are(&[("root(3, y) = z", y.cbrt() - z)]);
    said("root(3, y) = z", "order first");
    refused("x^ + y = z");
    said("2<x<1", "empty");
    said("x^2 + y^2 = [z=1]", "1 where it holds");
    said("x^2+y^2=z, 2<x<1", "empty");
    for (text, what) in [
        ("x or y", "joins conditions"),
        ("x & y", "joins conditions"),
        ("x→y", "→"),
        ("log_0 x = z", "logarithm"),
        ("dy/dx = y", "derivatives"),
        (r"\frac{dy}{dx} = y", "derivatives"),
        ("(x+iy)^2 = z", "imaginary unit"),
    ] {
        assert!(refused(text).what.contains(what), "{text}");
    }
}

#[test]
fn functions_that_end_in_a_word_are_read() {
    let [x, y, z] = AT;
    all_are(&[
        ("function f(x,y,z)\n  r = sqrt(x^2+y^2);\n  f = r - z;\nend", x.hypot(y) - z),
        ("function w = f(x,y,z)\n  w = x.^2 - y - z;\nend", x * x - y - z),
    ]);
}

#[test]
fn chains_labels_and_lists_of_values_are_read() {
    let [x, y, z] = AT;
    all_are(&[
        ("sin x.cos y = z", x.sin() * y.cos() - z),
        ("x^2 + y^2 = z ■", x * x + y * y - z),
        ("x < y < z < 1", (x - y).max(y - z).max(z - 1.0)),
        ("1 ≥ x > y > z", (z - y).max(y - x).max(x - 1.0)),
        ("(for a=2) x^2 + a y = z", x * x + 2.0 * y - z),
        ("x^n + y = z, n = 4, 6, 8", x.powi(4) + y - z),
        ("f x y z = sin x * cos y - z", x.sin() * y.cos() - z),
    ]);
    said("sin x.cos y = z", "product");
    said("x < y < z < 1", "in a row");
    said("x^n + y = z, n = 4, 6, 8", "several values");
    said("f x y z = sin x * cos y - z", "f(x, y, z)");
    assert_eq!(reading("g x y = z").free, ["g"]);
    assert_eq!(limits("x^2+y^2==z^2 && 0<=z<=1"), [("z".to_owned(), 0.0, 1.0)]);
    points_are("x = t, y = x^2, z = x y", 0.4, [0.4, 0.4 * 0.4, 0.4 * (0.4 * 0.4)]);
}

#[test]
fn spoken_ranges_and_regions_are_read() {
    let [x, y, z] = AT;
    let text = "plot z = x^2 + y^2 from x = -1 to 1";
    all_are(&[(text, z - x * x - y * y)]);
    assert_eq!(limits(text), [("x".to_owned(), -1.0, 1.0)]);
    let r = reading("(cos t, sin t, t) from t = 0 to t = 3");
    assert_eq!(ranges(&r), [("t".to_owned(), Some((0.0, 3.0)))]);
    assert!(reading("z = xy with x²+y² ≤ 1").within.is_some());
    said("z = xy, r < 2", "left out");
    assert_eq!(reading("x²+y²+z² = r², r > 0").free, ["r"]);
}

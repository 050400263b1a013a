//! Formulas in speech, on pages and in sessions, against values worked out by hand.

use super::tests::{AT, all_are, points_are, reading, refused, said};
use super::tests_habits::{ranges, relation};
use crate::formula::Relation;

/// x² + y² - z
fn bowl() -> f64 {
    let [x, y, z] = AT;
    x * x + y * y - z
}

#[test]
fn headings_and_numbers_go_before_a_formula() {
    for text in [
        "Eq. 4.7   x^2 + y^2 = z",
        "Example 3. Let S be the surface x^2 + y^2 = z.",
        "Bowl of sorts [1]: x^2 + y^2 = z",
        "Equation (5.3) is x^2 + y^2 = z",
        "From (3) we get x^2 + y^2 = z",
        "1) x^2 + y^2 = z",
        "Flat-bottomed x² + y² = z",
        "paraboloid x^2 + y^2 = z",
        "Shallow bowl — x² + y² = z",
        "Try this one! x² + y² = z",
        "hence x² + y² = z",
        "In [1] the author studies x^2 + y^2 = z.",
        "(The drinking bowl-ish) x^2 + y^2 = z",
        "dish/saucer x^2 + y^2 = z",
        "function f(p) { const [x, y, z] = p; return x**2 + y**2 - z; }",
        "i.e. x² + y² = z",
        "The double bowl x^2 + y^2 = z",
        "A surface with equation $x^2+y^2=z$, found by me in 1998.",
    ] {
        all_are(&[(text, bowl())]);
    }
    said("Eq. 4.7   x^2 + y^2 = z", "equation's number");
}

#[test]
fn speech_behind_and_between_formulas_is_left_out() {
    let [x, y, z] = AT;
    let wave = z - (x * x + y * y) * (-(x * x + y * y)).exp();
    all_are(&[
        ("x² + y² = z [edit]", bowl()),
        ("x² + y² = z [citation needed]", bowl()),
        ("x^2 + y^2 = z (paraboloid)", bowl()),
        ("x² + y² = z everywhere", bowl()),
        ("x² + y² = z  for all x, y", bowl()),
        ("z = x^n + y, n an integer, n = 2", z - x * x - y),
        ("the function z = 2xy has a saddle", z - 2.0 * x * y),
        ("Round (Swiss) bowl\nx² + y² = z\nsee also Boy's surface", bowl()),
        ("Surface equation:\nx^2 + y^2 = z\n\nSource: somebody 2005", bowl()),
        ("With r² = x² + y² we have z = r² e^{-r²}", wave),
        ("cylinder x^2+y^2=r^2 of radius r=2", x * x + y * y - 4.0),
        ("z = a x + b y, let a = 2, let b = 3", z - 2.0 * x - 3.0 * y),
    ]);
    said("x² + y² = z [edit]", "left out");
    assert!(reading("z = x (scale)").free.contains(&"scale".to_owned()));
}

#[test]
fn words_that_join_solids_are_heeded() {
    let [x, y, z] = AT;
    let (a, b) = (x * x + y * y - 1.0, z * z + y * y - 1.0);
    all_are(&[
        ("union of x²+y²<1 and z²+y²<1", a.min(b)),
        ("difference of x²+y²<1 and z²+y²<1", a.max(-b)),
        ("intersection of x²+y²<1 and z²+y²<1", a.max(b)),
        ("x² + y² ≤ 1, excluding z > 0", a.max(z)),
    ]);
}

#[test]
fn marks_of_pages_and_sessions_go() {
    let [x, y, z] = AT;
    for text in [
        "**x^2 + y^2 = z**",
        "*x*² + *y*² = *z*",
        "_x_^2 + _y_^2 = _z_",
        "In[3]:= x^2 + y^2 == z",
        "Out[3]= x^2 + y^2 == z",
        "(* a bowl *) x^2 + y^2 == z",
        "x² + y² = z†",
        "x² + y² = z.¹",
        "x^2 + y^2 = z % paraboloid",
        "x^2 + y^2 = z -- the base",
        r"x^2+y^2=z\footnote{A bowl with $a=1$.}",
        r"\underbrace{x^2+y^2}_{r^2}=z",
        r"x^2+y^2=z \eqno(7)",
        r"z = x\textsuperscript{2} + y\textsuperscript{2}",
        r"z = x\^2 + y\^2",
        r"z = x\u00b2 + y\u00b2",
        "z = x[sup]2[/sup] + y[sup]2[/sup]",
        "xÂ² + yÂ² = z",
        "z = x^2 + y^2\\n",
    ] {
        let r = reading(text);
        let got = r.at(&AT, &[]).unwrap()[0];
        assert!((got.abs() - bowl().abs()).abs() < 1e-12, "{text}: {}", r.normal);
    }
    said("x^2 + y^2 = z % paraboloid", "comment");
    all_are(&[("x % 2 = z", x.rem_euclid(2.0) - z), ("a*x*b = z, a = 2, b = 3", 6.0 * x - z)]);
    all_are(&[("z = сos(у) + ѕin(х)", z - y.cos() - x.sin())]);
}

#[test]
fn units_of_length_are_left_out() {
    let [x, y, _] = AT;
    all_are(&[
        ("x² + y² = 25 mm²", x * x + y * y - 25.0),
        ("x^2 + y^2 = R^2 (R = 5 cm)", x * x + y * y - 25.0),
    ]);
    said("x² + y² = 25 mm²", "no unit");
    assert_eq!(reading("x = 2 mm + 3 cm + y").free.len(), 2);
}

#[test]
fn signs_said_in_words_are_read() {
    let [x, y, z] = AT;
    all_are(&[
        ("x squared plus y squared equals z", bowl()),
        ("x cubed minus y = z", x * x * x - y - z),
        ("z is x^2 + y^2", -bowl()),
        ("z = the square root of x^2+y^2", z - x.hypot(y)),
        ("z = cube root of (x+y) times 2", z - (x + y).cbrt() * 2.0),
        ("radius is 2, x^2+y^2 = radius^2", x * x + y * y - 4.0),
        ("z ← x² + y²", -bowl()),
        ("z <- x^2 + y^2", -bowl()),
        ("z = plus x, plus = 2", z - 2.0 * x),
    ]);
    said("x squared plus y squared equals z", "read as signs");
    said("z = sqr(x) + y", "not the root");
}

#[test]
fn words_and_lists_are_no_products() {
    let [x, y, z] = AT;
    all_are(&[
        ("Bifolia (x^2 + z^2)^2 = z y", (x * x + z * z).powi(2) - z * y),
        ("Plücker's conoid z = 2xy", z - 2.0 * x * y),
        ("y² = x³ + z (elliptic)", y * y - x * x * x - z),
        ("[2] z = x²+y²", -bowl()),
        ("z = 3sin(x)4cos(y)", z - 12.0 * x.sin() * y.cos()),
        ("z=x_{}^{2}+y^{2}{}", -bowl()),
        ("f = lambda x,y,z,t=0.5: x**2 + y**2 - z*t", x * x + y * y - 0.5 * z),
        ("const f = (x, y, z, k = 2) => x*x + k*y*y - z;", x * x + 2.0 * y * y - z),
        ("function f(x, y, z, k = 2) { return x*x + k*y*y - z; }", x * x + 2.0 * y * y - z),
    ]);
    assert!(refused("z = qux(x, y)").what.contains("qux"));
}

#[test]
fn squares_give_names_their_values() {
    let [x, y, z] = AT;
    all_are(&[
        ("c² = a² − b², x²/a² + y²/b² + z²/c² = 1, a = 2, b = 1", x * x / 4.0 + y * y + z * z / 3.0 - 1.0),
        ("x²+y²+z²=d², d²=a²+b², a=3, b=4", x * x + y * y + z * z - 25.0),
    ]);
    said("x²+y²+z²=d², d²=a²+b², a=3, b=4", "positive root");
}

#[test]
fn sides_that_are_equal_everywhere_are_refused() {
    for text in ["x = x", "x + y = y + x", "(x+1)^2 = (1+x)^2"] {
        assert!(refused(text).what.contains("equal everywhere"), "{text}");
    }
    assert!(refused("lim_{n→∞} x^n = z").what.contains("limits"));
    assert_eq!(relation("x = y"), Relation::Equal);
}

#[test]
fn further_doubts_are_told() {
    let [x, y, z] = AT;
    all_are(&[
        ("z = sin x(1+y)", z - x.sin() * (1.0 + y)),
        ("z = e^−(x²+y²)/2", z - (-(x * x + y * y)).exp() / 2.0),
        ("z = x^-1/2 + y", z - 0.5 / x - y),
        ("z = sin 2*x", z - (2.0 * x).sin()),
        ("root(3)(x) + y = z", x.cbrt() + y - z),
        ("log(2, x+3) + y = z", (x + 3.0).log2() + y - z),
        ("log(x+3, 2) + y = z", (x + 3.0).log2() + y - z),
    ]);
    said("z = sin x(1+y)", "sin takes");
    said("z = e^−(x²+y²)/2", "before the slash");
    said("z = x^-1/2 + y", "takes only the first");
    said("z = sin 2*x", "sin takes");
    said("z = ln 2 x", "ln takes");
    said("= z + x", "sheet");
    said("log(x+3, 2) + y = z", "base");
    said("|r - (1,0,0)| = 3", "the point");
    said("X^2 + y^2 = z", "X read as x");
    assert!(reading("z = e^(−(x²+y²)/2)").remarks.is_empty());
}

#[test]
fn choices_and_tables_of_several_makers_are_read() {
    let [x, y, z] = AT;
    let chosen = z - x * x;
    all_are(&[
        (r"z=\left\{x>0:x^{2},y\right\}", chosen),
        (r"z=\left\{x>0:x^{2},x\le0:-x\right\}", chosen),
        ("z = {x>0: x^2, y}", chosen),
        ("z = piecewise(x>0, x^2, y)", chosen),
        ("z = piecewise(x<-1, 1, x<1, x^2, y)", chosen),
        ("z == Piecewise[{{x^2, x > 0}, {y, True}}]", chosen),
        ("z == Piecewise[{{x^2, x > 0}}, y]", chosen),
        (r"\begin{vmatrix}x&y\\z&1\end{vmatrix}=0", x - y * z),
        ("det([[x,y],[z,1]]) = 0", x - y * z),
        (r"\det\begin{pmatrix}x&y&1\\z&1&0\\0&x&2\end{pmatrix}=1", 2.0 * x - 2.0 * y * z + z * x - 1.0),
        ("r := Sqrt[x^2 + y^2]; r^2 - Cos[z]", x * x + y * y - z.cos()),
        ("f(x, y, z) = @. sin(x) * cos(y) - z", x.sin() * y.cos() - z),
        ("f = X**2 + Y**2 - 1.5D0*Z", x * x + y * y - 1.5 * z),
    ]);
}

#[test]
fn what_calls_a_function_is_the_shape() {
    let [x, y, z] = AT;
    all_are(&[(
        "float wave(vec3 p, float s) { p *= s; return dot(sin(p), cos(p.zxy)) / s; }\nwave(p, 5.0) - 0.03",
        ((5.0 * x).sin() * (5.0 * z).cos()
            + (5.0 * y).sin() * (5.0 * x).cos()
            + (5.0 * z).sin() * (5.0 * y).cos())
            / 5.0
            - 0.03,
    )]);
}

#[test]
fn vectors_times_numbers_are_curves() {
    let t: f64 = 0.4;
    points_are("r(t) = (1,0,0) cos t + (0,1,0) sin t + (0,0,1) t", t, [t.cos(), t.sin(), t]);
    points_are("r(t) = (1,2,3) t", t, [t, 2.0 * t, 3.0 * t]);
    points_are("1) x = cos t\n2) y = sin t\n3) z = t", t, [t.cos(), t.sin(), t]);
    let r = reading("x = cos t, y = sin t, z = t; t ∈ [0; 2)");
    assert_eq!(ranges(&r), [("t".to_owned(), Some((0.0, 2.0)))]);
}

//! Nets of points and struts, and polytopes.

use super::{Host, trace};
use crate::base::Vec3;
use crate::form::Solid;
use crate::form::net::{
    self, Ends, LONG, Net, NetFault, POLYTOPES, Radius, Rods, SYMBOLS, Seen, Shown, View,
};
use crate::formula::Tape;
use crate::value::{
    Angle, Choice, Count, Fault, Fill, FlatWork, Form, List, Maybe, Mm, Names, Number, Part, Point, Portion,
    RodRadius, Sheet, Size, Stout, Stretch, Struts, Text, Truth, Value, nearest,
};

words! { "nets":
    /// A crystal net by its three-letter symbol, as far as a radius.
    ///
    /// In space, by the number of edges at a point: three `srs`, `ths`, `bto`; four `dia`, `lon`, `nbo`, `sod`, `qtz`, `lcv`,
    /// `lvt`, `rho`, `lta`, `cds`, `fau`, `gis`, `crb`, `pcb`; five `bnn`, `cab`, `sqp`; six `pcu`, `crs`, `lcy`, `acs`; eight
    /// `bcu`, `hex`, `reo`; ten `bct`; twelve `fcu`, `hcp`. Of two kinds of points: three and four `bor`, `ctn`, `pto`, `tbo`;
    /// three and five `hms`, `gra`; three and six `pyr`, `rtl`, `ant`, `spn`; three and eight `the`, and twelve `ttt`, and 24
    /// `rht`; four `pts`; four and six `gar`, `she`, `stp`, `toc`; six `nia`; four and eight `flu`, `scu`; four and twelve
    /// `ftw`, `ith`, `shp`, and 24 `twf`; six and eight `ocu`, and twelve `alb`, `mgc`. In the plane `hcb`, `kgm` (kagome), `sql`,
    /// `hxl`, `fes`, `hca`, `fxt`, `tts`, `cem`, `fsz`, `htb`, `kgd`. Others can be made of one cell: `orbit` of a group and a
    /// `web`.
    ///
    /// Source: M. O'Keeffe and others, Acc. Chem. Res. 41 (2008) 1782.
    net(
        /// The symbol.
        symbol: Text,
        /// Length of the edges.
        edge: Size = 10,
        /// Points are those no further from the origin.
        reach: Size = 30,
        /// Whether ends that hang loose are kept; if not, only the largest piece without any.
        hanging: Truth = true,
    ) -> Net { crystal(&symbol, edge, reach, hanging) }
    example { "net(\"srs\", 10, 25)" }
    fails { "net(\"srx\")" => "did you mean \"srs\"?" }
    fails { "net(\"pcu\", 0.1, 100)" => "reach less far" }

    /// The corners and edges of a honeycomb of uniform polyhedra, by its mirrors and rings, as far as a radius.
    ///
    /// The mirrors are those of a row `"[4,3,4]"`, a fork `"[4,3^1,1]"` or a ring `"[3^[4]]"`, or of a tiling of the plane and
    /// layers of prisms over it: `"[4,4]x[∞]"`, `"[6,3]x[∞]"`, where a fourth and a fifth figure may stand for the layers. Of the row, `"1000"` is the honeycomb
    /// of cubes, `"0100"` of octahedra and cuboctahedra, `"0110"` of truncated octahedra, `"1111"` of truncated cuboctahedra
    /// and octagonal prisms.
    ///
    /// Source: H. S. M. Coxeter, Math. Z. 46 (1940) 380.
    honeycomb(
        /// The diagram.
        diagram: Text,
        /// A figure for each mirror: 1 with a ring, 0 without; `"sss"` over a tiling for the prisms of its snub.
        rings: Text = "1000",
        /// Length of the edges.
        edge: Size = 10,
        /// Points are those no further from the origin.
        reach: Size = 30,
        /// Whether ends that hang loose are kept; if not, only the largest piece without any.
        hanging: Truth = true,
    ) -> Net { net::honeycomb(&diagram, &rings, edge, reach, hanging).map_err(|f| told("honeycomb", &f)) }
    example { "honeycomb(\"[4,3,4]\", \"1010\", 8, 24, false)" }
    example { "honeycomb(\"[3^[4]]\", \"1100\", 10, 20)" }
    example { "honeycomb(\"[6,3]x[∞]\", \"010\", 10, 20)" }
    fails { "honeycomb(\"[5,3,4]\")" => "closes no honeycomb" }
    fails { "honeycomb(\"[4,3,4]\", \"10\")" => "rings on 4 mirrors" }

    /// A uniform polyhedron, or a four-dimensional polytope brought to space, by its mirrors and rings.
    ///
    /// The diagram names the angles of neighbouring mirrors, `"[5,3]"` or `"[4,3,3]"`; each mirror whose figure is 1 has a
    /// ring: the point that is mirrored lies off it. `"[5,3]"` with `"100"` is the dodecahedron, with `"011"` the truncated
    /// icosahedron. With four mirrors the polytope is laid on a sphere of four dimensions and projected from its pole, so
    /// that its edges are arcs, thicker further out; in perspective they stay straight. Labels that are fractions make star
    /// polyhedra: `"[5/2,5]"`, `"[5/2,3]"`, and rings of three mirrors `"[(5/2,3,3)]"`; forks are written `"[3,3^1,1]"`, products `"[5]x[7]"` (with `"1010"` the duoprism of
    /// pentagons and heptagons) and `"[5,3]x[]"` (with `"1001"` the prism on a dodecahedron). `"sss"` makes the snub, also of fractions as `"[5/2,5]"`, and of `"[5,2]"` and its like the antiprism; `"ssss"` on the fork the snub 24-cell.
    ///
    /// Source: W. A. Wythoff (1918); H. S. M. Coxeter, Regular Polytopes (1973).
    polytope(
        /// The diagram.
        diagram: Text,
        /// A figure for each mirror: 1 with a ring, 0 without; `"sss"` for the snub. When left out, the first mirror has one.
        rings: Maybe<Text> = (),
        /// Length of the edges; of a four-dimensional one, how far its edges reach from the middle.
        size: Size = 20,
        /// How a four-dimensional one is seen: `"stereographic"` or `"perspective"`.
        view: Choice<Views> = "stereographic",
        /// How much of a four-dimensional one is kept: edges up to this part of the height towards the eye, 0 to 1.
        part: Portion = 1,
    ) -> Net { polytope(&diagram, rings.as_deref().unwrap_or_default(), size, Seen { view, part }) }
    example { "polytope(\"[5,3]\", \"011\", 8)" }
    example { "polytope(\"[3,3,3]\", \"1000\", 40)" }
    example { "polytope(\"[4,3]\", \"sss\", 8)" }
    example { "polytope(\"[5/2,5]\", \"100\", 16)" }
    example { "polytope(\"[5/2,5]\", \"sss\", 12)" }
    example { "polytope(\"[(5/2,3,3)]\", \"100\", 16)" }
    example { "polytope(\"[4,3,3]\", \"1000\", 30, \"perspective\")" }
    example { "polytope(\"[5]x[7]\", \"1010\", 30)" }
    fails { "polytope(\"[7/2,3]\")" => "more than 15000 points" }
    fails { "polytope(\"[6,3]\")" => "close no finite group" }
    fails { "polytope(\"cubocahedron\")" => "the cuboctahedron is polytope(\"[4,3]\", \"010\")" }
    fails { "polytope(\"{5,3}\")" => "polytope(\"[5,3]\", \"100\")" }
    fails { "polytope(\"{5}x{7}\")" => "polytope(\"[5]x[7]\", \"1010\")" }
    fails { "polytope(\"[5,5/2,5]\", \"1000\")" => "choose the view \"perspective\"" }
    fails { "polytope(\"[5,3]\", \"11\")" => "rings on 3 mirrors are 3 figures" }

    /// The solid of all points near the edges of a net.
    ///
    /// The radius may be a field, whose value holds along the struts, or a function of a strut's length, as in
    /// `struts(n, |long| 0.6 + 0.05*long)`. Cells of the mesh are small enough for the thinnest strut.
    ///
    /// With a `fillet` the skin runs on smoothly from strut to strut: in the plane of two straight ones the corner is an arc of
    /// that radius, and struts keep their thickness where no other one is near. More than three times the radius of struts that
    /// meet at narrow angles makes webs between them.
    struts with host(
        /// The net.
        net: Struts,
        /// Radius of the struts, mm, where a projection makes them thickest.
        radius: RodRadius,
        /// Radius of balls where they meet; less than `radius` makes none.
        joint: Stretch = 0,
        /// Radius that no strut goes below, where a projection makes it thin. When left out, struts that a projection
        /// makes thin are no thinner than an 80th of the net's extent.
        least: Maybe<Stretch> = (),
        /// Radius of the round that fills the corners between struts of one point, as if a ball were rolled round them, mm,
        /// where a projection makes them thickest; 0 leaves the corners sharp.
        fillet: Stretch = 0,
    ) -> Solid { solid(host, &net, &radius, (joint, fillet), least) }
    example { "struts(net(\"dia\", 10, 16), 1.5, 2.5)" }
    example { "struts(net(\"pcu\", 10, 18), field(\"1 + z/40\"))" }
    example { "struts(geodesic(2, 1, 20), |long| long/8)" }
    example { "struts(polytope(\"[3,3,3]\", \"1000\", 40), 4)" }
    example { "struts(polytope(\"[4,3,3]\", \"1000\", 40), 4, 0, 1.2)" }
    example { "struts(net(\"srs\", 10, 16), 1.2, #{ fillet: 2 })" }
    fails { "struts(net(\"pcu\", 10, 2), 1)" => "no edges" }
    fails { "struts(net(\"pcu\", 10, 15), X)" => "must be more than 0 mm" }
    fails { "struts(ball(3), 1)" => "`net` is a net, got a solid" }

    /// The solid cells of a four-dimensional polytope, as `polytope` brings it to space: a list, from the middle outwards.
    ///
    /// The cell that holds the pole of the projection, or the cells that turn to the eye, are left out: they hide the others. From
    /// the pole faces are parts of spheres, in perspective flat. `union(cells(…))` is all of them; `cells(…)[0]` the innermost.
    ///
    /// Source: H. S. M. Coxeter, Regular Polytopes (1973), section 13.1.
    cells(
        /// The diagram, of four mirrors.
        diagram: Text,
        /// A figure for each mirror: 1 with a ring, 0 without.
        rings: Text = "1000",
        /// How far the edges of the whole reach from the middle.
        size: Size = 20,
        /// How large each cell is beside its whole, drawn toward its middle: above 0, and 1 for cells that touch.
        share: Portion = 0.8,
        /// How it is seen: `"stereographic"` or `"perspective"`.
        view: Choice<Views> = "stereographic",
        /// How much is kept: cells up to this part of the height towards the eye, 0 to 1.
        part: Portion = 1,
        /// Only cells with so many faces.
        sides: Maybe<Count> = (),
    ) -> List { cells(&diagram, &rings, size, Shown { seen: Seen { view, part }, share, sides }) }
    example { "cells(\"[4,3,3]\", \"1000\", 30)" }
    example { "cells(\"[3,3,3]\", \"1100\", 30, 0.7, #{ sides: 4 })" }
    example { "cells(\"[4,3,3]\", \"1000\", 30, 0.8, \"perspective\")" }
    fails { "cells(\"[5,3]\", \"100\")" => "four mirrors" }
    fails { "cells(\"[4,3,3]\", \"1000\", 30, 0)" => "greater than 0" }
    fails { "cells(\"[4,3,3]\", \"1000\", 30, #{ sides: 5 })" => "no cell is left" }

    /// The faces of a four-dimensional polytope as plates, as `polytope` brings it to space: a list, from the middle outwards.
    ///
    /// From the pole the plates are parts of spherical shells, in perspective flat. They are as thick as they say, and cut off
    /// square to themselves.
    panels(
        /// The diagram, of four mirrors.
        diagram: Text,
        /// A figure for each mirror: 1 with a ring, 0 without.
        rings: Text = "1000",
        /// How far the edges of the whole reach from the middle.
        size: Size = 20,
        /// Thickness of the plates.
        thick: Size = 1,
        /// How large each plate is beside its whole, drawn toward its middle: above 0, up to 1.
        share: Portion = 0.8,
        /// How it is seen: `"stereographic"` or `"perspective"`.
        view: Choice<Views> = "stereographic",
        /// How much is kept: faces up to this part of the height towards the eye, 0 to 1.
        part: Portion = 1,
        /// Only faces with so many sides.
        sides: Maybe<Count> = (),
    ) -> List { panels(&diagram, &rings, size, thick, Shown { seen: Seen { view, part }, share, sides }) }
    example { "panels(\"[3,3,3]\", \"1000\", 30, 2)" }
    example { "panels(\"[4,3,3]\", \"1000\", 30, 1.5, 0.7, \"perspective\")" }
    fails { "panels(\"[5/2,5,3]\")" => "pass through one another" }

    /// The angles at which the faces of a polyhedron meet in its edges, inside it: each that occurs once, degrees, least first.
    ///
    /// Of a four-dimensional polytope, those at which its cells meet in their faces.
    dihedral(
        /// The polyhedron.
        net: Struts,
    ) -> List { dihedral(&net) }
    example { "dihedral(polytope(\"[5,3]\", \"011\", 8))" }
    example { "dihedral(polytope(\"[5,3,3]\", \"1000\", 40))" }
    fails { "dihedral(net(\"srs\"))" => "no faces" }

    /// The solid inside the faces of a polyhedron.
    ///
    /// Of a star polyhedron, whose faces cross, it is all that one cannot come to from outside without passing through a
    /// face.
    hull(
        /// The polyhedron.
        net: Struts,
    ) -> Solid { net::hull(&net).map_err(|f| told("hull", &f)) }
    example { "hull(polytope(\"[5,3]\", \"011\", 8))" }
    example { "hull(polytope(\"[5/2,5]\", \"100\", 16))" }
    fails { "hull(polytope(\"[4/3,3]\", \"101\", 16))" => "meet along edges or in corners only" }
    fails { "hull(net(\"srs\"))" => "`struts` makes its edges solid" }

    /// The convex polyhedron around points, with its edges and faces.
    polyhedron(
        /// Points, mm; those inside are left out.
        points: List,
    ) -> Net { polyhedron(&points) }
    example { "polyhedron([[10, 0, 0], [-10, 0, 0], [0, 8, 0], [0, -8, 0], [0, 0, 14], [2, 2, -9]])" }
    fails { "polyhedron([[0, 0, 0], [1, 0, 0], [0, 1, 0]])" => "four points that do not lie in one plane" }

    /// The polyhedron that some edges span, all its faces parallelograms, or more where edges lie in one plane.
    ///
    /// Source: E. S. Fedorov (1885); H. S. M. Coxeter, Regular Polytopes (1973), section 2.8.
    zonohedron(
        /// Its 3 to 11 edges, as vectors, mm.
        edges: List,
    ) -> Net { zonohedron(&edges) }
    example { "zonohedron([[9, 9, 9], [-9, 9, 9], [9, -9, 9], [9, 9, -9]])" }
    fails { "zonohedron([[9, 0, 0], [0, 9, 0]])" => "3 to 11 edges" }

    /// A sphere of nearly equal triangles: the icosahedron, each face divided by the triangular lattice.
    ///
    /// It has 20 (b² + bc + c²) triangles. `dual` makes it a sphere of hexagons with twelve pentagons.
    ///
    /// Source: D. L. D. Caspar, A. Klug (1962); H. S. M. Coxeter (1971).
    geodesic(
        /// Steps along one line of the lattice from one pentagon to the next.
        b: Count,
        /// Steps after a turn to the left.
        c: Number = 0,
        /// Radius of the sphere.
        radius: Size = 20,
    ) -> Net { geodesic(b, c, radius) }
    example { "geodesic(2, 1, 20)" }
    example { "dual(geodesic(3, 0, 20))" }
    fails { "geodesic(1, -1)" => "`c` is a whole number" }

    /// A polyhedron with a pyramid on each of its faces.
    spiked(
        /// The polyhedron.
        net: Struts,
        /// Height of the pyramids; below 0 they go inwards.
        height: Mm,
    ) -> Net { net::spiked(&net, height).map_err(|f| told("spiked", &f)) }
    example { "spiked(polytope(\"[5,3]\", \"100\", 12), 16)" }
    example { "spiked(polytope(\"[4,3]\", \"100\", 20), -5)" }
    fails { "spiked(polytope(\"[4,3]\", \"100\", 20), -10)" => "`height` is not 0" }
    fails { "spiked(net(\"srs\"), 3)" => "no faces" }

    /// A net by hand: points and the edges between them.
    web(
        /// Points, mm.
        points: List,
        /// Pairs of numbers of points, counted from 0.
        edges: List,
    ) -> Net { web(&points, &edges) }
    example { "web([[0, 0, 0], [10, 0, 0], [5, 8, 3]], [[0, 1], [1, 2], [2, 0]])" }
    fails { "web([[0, 0, 0], [10, 0, 0]], [[0, 2]])" => "numbered from 0" }
    fails { "web([[0, 0, 0], [0, 0, 0]], [[0, 1]])" => "has no length" }

    /// The part of a net inside a solid.
    trim(
        /// The net.
        net: Struts,
        /// The solid.
        solid: Form,
        /// What becomes of edges that cross its skin: `"cut"` ends them there; `"dropped"` leaves them out, and with them
        /// all that hangs loose then; `"moved"` brings their outer points onto the skin, so that the net ends on it.
        ends: Choice<EndsNamed> = "cut",
    ) -> Net { trim(&net, &solid, ends) }
    example { "trim(net(\"dia\", 8, 40), ball(20))" }
    example { "trim(net(\"srs\", 8, 40), rod(16, 30), \"dropped\")" }
    example { "trim(net(\"pcu\", 8, 40), ball(19), \"moved\")" }
    fails { "trim(net(\"dia\"), ball(0.1), \"dropped\")" => "no edge of the net is left" }
    fails { "trim(net(\"dia\"), ball(20), \"shaved\")" => "\"cut\", \"dropped\" or \"moved\"" }

    /// The net without ends that hang loose: the largest piece in which every point has two edges and more.
    pruned(
        /// The net.
        net: Struts,
    ) -> Net { net::held(&net).map_err(|f| told("pruned", &f)) }
    example { "pruned(web([[0, 0, 0], [10, 0, 0], [5, 8, 3], [20, 0, 0]], [[0, 1], [1, 2], [2, 0], [1, 3]]))" }
    fails { "pruned(web([[0, 0, 0], [10, 0, 0]], [[0, 1]]))" => "hang loose" }

    /// The net laid on the skin of a solid: points and edges go to it along the slope of the solid's field.
    onto(
        /// The net.
        net: Struts,
        /// The solid; without walls in it.
        solid: Form,
    ) -> Net { onto(&net, &solid) }
    example { "onto(polytope(\"[4,3]\", \"100\", 20), ball(30))" }
    fails { "onto(polytope(\"[4,3]\"), level(X, 0).wall(2))" => "a wall has no field" }

    /// The edges of a solid, as a net: those of its mesh across which its skin turns.
    edges with host(
        /// The solid.
        solid: Form,
        /// The least turn, degrees; 0 for all edges of the mesh.
        angle: Angle = 30,
    ) -> Net { creased(host, &solid, angle) }
    example { "edges(block(20, 30, 10))" }
    fails { "edges(ball(10))" => "turn by 30 degrees" }
    fails { "edges(ball(10), 200)" => "`angle` is 0 to 180" }

    /// How many points, edges and faces a net has: a list of three.
    ///
    /// Of a polyhedron, points less edges plus faces are 2 (Euler); a crystal net has no faces.
    counts(
        /// The net.
        net: Struts,
    ) -> List { counts(&net) }
    example { "counts(polytope(\"[5,3]\", \"010\", 8))" }
    fails { "counts(ball(3))" => "`net`" }

    /// How many points of a crystal net are 1, 2, 3, … edges away from one.
    ///
    /// Of a net with several kinds of points a list for each kind.
    sequence(
        /// The symbol of the net.
        symbol: Text,
        /// How far to count, 12 steps at most.
        count: Count = 10,
    ) -> List { sequence(&symbol, count) }
    example { "sequence(\"srs\", 6)" }
    example { "sequence(\"flu\", 4)" }
    fails { "sequence(\"srs\", 50)" => "as far as 12" }

    /// The lines of a flat laid on a surface, as a net of bent edges: tilings on spheres, tori, vessels.
    ///
    /// A rectangle about the origin goes onto the surface's two ranges, the first along x; what lies outside it is left out. On
    /// what `revolve` makes of a curve, x follows the curve and y goes round the axis.
    /// Where the surface closes, lines that meet on the seam are joined: choose the rectangle as whole cells of the tiling.
    wrap(
        /// The lines.
        flat: FlatWork,
        /// A surface of two parameters.
        surface: Sheet,
        /// Width of the rectangle.
        wide: Size,
        /// Height of the rectangle.
        high: Size,
    ) -> Net { net::wrap(&flat, &surface, wide, high).map_err(|f| told("wrap", &f)) }
    example { "wrap(tiling(\"4.4.4.4\", 10, 60), revolve(curve(|t| [20 + 8*cos(t), 0, 8*sin(t)], 0, TAU)), 100, 40)" }
    fails { "wrap(disc(3), level(X, 0), 10, 10)" => "two parameters" }
}

pub(super) fn told(word: &str, fault: &NetFault) -> Fault {
    let what = Fault::new(format!("{word}: {fault}"));
    match fault {
        NetFault::Unknown(symbol) => {
            let near = nearest(symbol, SYMBOLS.iter().copied());
            let near = near.map_or(String::new(), |n| format!("did you mean \"{n}\"? "));
            what.hint(format!("{near}there are {}", SYMBOLS.join(", "))).part(Part::Argument(0))
        }
        NetFault::Unfit(why) if why.contains("is no diagram") => what.hint(
            "[3,3], [4,3] and [5,3] make polyhedra: with rings \"100\" tetrahedron, cube and dodecahedron, with \"001\" on the \
             last two octahedron and icosahedron; [3,3,3], [4,3,3], [3,4,3] and [5,3,3] have four dimensions",
        ),
        _ => what,
    }
}

fn crystal(symbol: &str, edge: f64, reach: f64, hanging: bool) -> Result<Net, Fault> {
    net::crystal(symbol, edge, reach, hanging).map_err(|f| told("net", &f))
}

fn polytope(diagram: &str, rings: &str, size: f64, seen: Seen) -> Result<Net, Fault> {
    net::polytope_seen(diagram, rings, size, seen).map_err(|f| {
        let fault = told("polytope", &f);
        match called(diagram) {
            Some(call) => fault.hint(call).part(Part::Argument(0)),
            None => fault,
        }
    })
}

/// How a polytope is called that was asked for by a name, or by a symbol in braces.
fn called(asked: &str) -> Option<String> {
    let plain = asked.trim().to_lowercase();
    if let Some((p, q)) = plain.replace('×', "x").split_once("}x{") {
        let (p, q) = (p.trim_start_matches('{').to_owned(), q.trim_end_matches('}').to_owned());
        let rings = [&p, &q].map(|t| format!("{:0<n$}", "1", n = t.split(',').count() + 1)).concat();
        return Some(format!("the duoprism is polytope(\"[{p}]x[{q}]\", \"{rings}\")"));
    }
    if let Some(labels) = plain.strip_prefix('{').and_then(|t| t.strip_suffix('}')) {
        let mirrors = labels.split(',').count() + 1;
        return Some(format!("the regular one is polytope(\"[{labels}]\", \"{:0<mirrors$}\")", "1"));
    }
    if plain.starts_with('[') {
        return None;
    }
    let names = || POLYTOPES.iter().map(|p| p.0);
    let name = names().find(|n| *n == plain).or_else(|| nearest(&plain, names()))?;
    let (_, diagram, rings) = POLYTOPES.iter().find(|p| p.0 == name)?;
    Some(format!("the {name} is polytope(\"{diagram}\", \"{rings}\")"))
}

fn cells(diagram: &str, rings: &str, size: f64, shown: Shown) -> Result<Vec<Value>, Fault> {
    let made = net::cells(diagram, rings, size, shown).map_err(|f| told("cells", &f))?;
    Ok(made.into_iter().map(Value::Solid).collect())
}

fn panels(diagram: &str, rings: &str, size: f64, thick: f64, shown: Shown) -> Result<Vec<Value>, Fault> {
    let made = net::panels(diagram, rings, size, thick, shown).map_err(|f| told("panels", &f))?;
    Ok(made.into_iter().map(Value::Solid).collect())
}

fn dihedral(net: &Net) -> Result<Vec<Value>, Fault> {
    let found = net::dihedral(net).map_err(|f| told("dihedral", &f))?;
    Ok(found.into_iter().map(Value::Number).collect())
}

/// How a four-dimensional polytope is seen.
#[derive(Debug)]
pub(super) enum Views {}
impl Names for Views {
    type Rust = View;
    const WANTS: &'static str = "\"stereographic\" or \"perspective\"";
    const NAMES: &'static [(&'static str, View)] =
        &[("stereographic", View::Stereographic), ("perspective", View::Perspective)];
}

/// Points of space, or a fault that says what they are.
pub(super) fn places(word: &str, list: &[Value]) -> Result<Vec<Vec3>, Fault> {
    let wrong =
        |_| Fault::new(format!("{word}: points and vectors are lists of three numbers, as [1, 2, 3]"));
    list.iter().map(|v| Point::fill(v).map_err(wrong)).collect()
}

fn polyhedron(points: &[Value]) -> Result<Net, Fault> {
    let points = places("polyhedron", points)?;
    net::polyhedron("polyhedron", &points).map_err(|f| told("polyhedron", &f))
}

fn zonohedron(edges: &[Value]) -> Result<Net, Fault> {
    net::zonohedron(&places("zonohedron", edges)?).map_err(|f| told("zonohedron", &f))
}

fn geodesic(b: usize, c: f64, radius: f64) -> Result<Net, Fault> {
    if !(c >= 0.0 && c.fract() == 0.0 && c <= 100.0 && b <= 100) {
        return Err(Fault::new("geodesic: `c` is a whole number, 0 or more, and neither is above 100")
            .part(Part::Argument(1)));
    }
    net::geodesic(b, c as usize, radius).map_err(|f| told("geodesic", &f))
}

fn creased(host: &dyn Host, solid: &Solid, angle: f64) -> Result<Net, Fault> {
    if !(0.0..=180.0).contains(&angle) {
        return Err(Fault::new("edges: `angle` is 0 to 180 degrees").part(Part::Argument(1)));
    }
    let (mesh, _) = host.mesh(solid, None)?;
    net::creases(&mesh, angle).map_err(|f| told("edges", &f))
}

fn web(points: &[Value], edges: &[Value]) -> Result<Net, Fault> {
    let places = places("web", points)?;
    let pair = |v: &Value| match v {
        Value::List(two) => match two.as_slice() {
            [Value::Whole(a), Value::Whole(b)] => {
                Some([usize::try_from(*a).ok()?, usize::try_from(*b).ok()?])
            }
            _ => None,
        },
        _ => None,
    };
    let edges: Option<Vec<[usize; 2]>> = edges.iter().map(pair).collect();
    let wrong = || Fault::new("web: edges are pairs of whole numbers, as [0, 1]").part(Part::Argument(1));
    net::web(places, edges.ok_or_else(wrong)?).map_err(|f| told("web", &f))
}

fn solid(
    host: &dyn Host,
    net: &Net,
    thick: &Stout,
    (joint, fillet): (f64, f64),
    least: Option<f64>,
) -> Result<Solid, Fault> {
    let radius = match thick {
        Stout::Constant(r) => Radius::Same(*r),
        Stout::Field(e) => Radius::Field(e.clone()),
        Stout::Function(f) => {
            let lengths =
                net.edges().iter().map(|e| (net.points()[e.ends[0]] - net.points()[e.ends[1]]).norm());
            let range = lengths.fold((f64::INFINITY, 0.0_f64), |(lo, hi), l| (lo.min(l), hi.max(l)));
            Radius::ByLength(trace::components(host, "struts", f, &[(LONG, range)], 1)?.remove(0))
        }
    };
    net::struts(net, &Rods { radius, joint, least, fillet }).map_err(|f| told("struts", &f))
}

/// What becomes of edges that a skin crosses.
#[derive(Debug)]
pub(super) enum EndsNamed {}
impl Names for EndsNamed {
    type Rust = Ends;
    const WANTS: &'static str = "\"cut\", \"dropped\" or \"moved\"";
    const NAMES: &'static [(&'static str, Ends)] =
        &[("cut", Ends::Cut), ("dropped", Ends::Dropped), ("moved", Ends::Moved)];
}

/// The function that is negative inside a solid, ready to be valued.
fn inside(word: &str, solid: &Solid) -> Result<Tape, Fault> {
    let value = super::fields::solid_field(word, solid)?;
    Tape::new(&value).map_err(|f| Fault::new(format!("{word}: {f}")))
}

fn trim(net: &Net, solid: &Solid, ends: Ends) -> Result<Net, Fault> {
    net::trim(net, &inside("trim", solid)?, ends).map_err(|f| told("trim", &f))
}

fn onto(net: &Net, solid: &Solid) -> Result<Net, Fault> {
    net::onto(net, &inside("onto", solid)?).map_err(|f| told("onto", &f))
}

fn counts(net: &Net) -> Vec<Value> {
    [net.points().len(), net.edges().len(), net.faces().len()].map(whole).to_vec()
}

fn whole(n: usize) -> Value {
    Value::Whole(i64::try_from(n).unwrap_or(i64::MAX))
}

fn sequence(symbol: &str, count: usize) -> Result<Vec<Value>, Fault> {
    let mut rows = net::sequences(symbol, count).map_err(|f| told("sequence", &f))?;
    let row = |counts: Vec<usize>| -> Vec<Value> { counts.into_iter().map(whole).collect() };
    Ok(if rows.len() == 1 {
        row(rows.remove(0))
    } else {
        rows.into_iter().map(|counts| Value::List(row(counts))).collect()
    })
}

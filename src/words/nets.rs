//! Nets of points and struts, and polytopes.

use crate::form::Solid;
use crate::form::net::{self, Net, NetFault, SYMBOLS};
use crate::value::{Count, Fault, Part, Size, Stretch, Struts, Text, Truth, Value, nearest};

words! { "nets":
    /// A crystal net by its three-letter symbol, as far as a radius.
    ///
    /// In space `srs`, `dia`, `lon`, `nbo`, `sod`, `qtz`, `pcu`, `bcu`, `fcu`, `lcv`; in the plane `hcb`, `kgm`, `sql`, `hxl`.
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

    /// A uniform polyhedron, or a four-dimensional polytope brought to space, by its mirrors and rings.
    ///
    /// The diagram names the angles of neighbouring mirrors, `"[5,3]"` or `"[4,3,3]"`; each mirror whose figure is 1 has a
    /// ring: the point that is mirrored lies off it. `"[5,3]"` with `"100"` is the dodecahedron, with `"011"` the truncated
    /// icosahedron. With four mirrors the polytope is laid on a sphere of four dimensions and projected from its pole, so
    /// that its edges are arcs, thicker further out.
    ///
    /// Source: W. A. Wythoff (1918); H. S. M. Coxeter, Regular Polytopes (1973).
    polytope(
        /// The diagram.
        diagram: Text,
        /// A figure for each mirror: 1 with a ring, 0 without.
        rings: Text = "100",
        /// Length of the edges; of a four-dimensional one, how far its edges reach from the middle.
        size: Size = 20,
    ) -> Net { polytope(&diagram, &rings, size) }
    example { "polytope(\"[5,3]\", \"011\", 8)" }
    example { "polytope(\"[3,3,3]\", \"1000\", 40)" }
    fails { "polytope(\"[6,3]\")" => "close no finite group" }
    fails { "polytope(\"[5,3]\", \"11\")" => "rings on 3 mirrors are 3 figures" }

    /// The solid of all points near the edges of a net.
    struts(
        /// The net.
        net: Struts,
        /// Radius of the struts, where they are thickest.
        radius: Size,
        /// Radius of balls where they meet; less than `radius` makes none.
        joint: Stretch = 0,
    ) -> Solid { solid(&net, radius, joint) }
    example { "struts(net(\"dia\", 10, 16), 1.5, 2.5)" }
    example { "struts(polytope(\"[3,3,3]\", \"1000\", 40), 4)" }
    fails { "struts(net(\"pcu\", 10, 2), 1)" => "no edges" }
    fails { "struts(ball(3), 1)" => "`net` is a net, got a solid" }

    /// The solid inside the faces of a polyhedron.
    hull(
        /// The polyhedron.
        net: Struts,
    ) -> Solid { net::hull(&net).map_err(|f| told("hull", &f)) }
    example { "hull(polytope(\"[5,3]\", \"011\", 8))" }
    fails { "hull(net(\"srs\"))" => "`struts` makes its edges solid" }

    /// How many points of a crystal net are 1, 2, 3, … edges away from one.
    sequence(
        /// The symbol of the net.
        symbol: Text,
        /// How far to count, 12 steps at most.
        count: Count = 10,
    ) -> List { sequence(&symbol, count) }
    example { "sequence(\"srs\", 6)" }
    fails { "sequence(\"srs\", 50)" => "as far as 12" }
}

fn told(word: &str, fault: &NetFault) -> Fault {
    let what = Fault::new(format!("{word}: {fault}"));
    match fault {
        NetFault::Unknown(symbol) => {
            let near = nearest(symbol, SYMBOLS.iter().copied());
            let near = near.map_or(String::new(), |n| format!("did you mean \"{n}\"? "));
            what.hint(format!("{near}there are {}", SYMBOLS.join(", "))).part(Part::Argument(0))
        }
        _ => what,
    }
}

fn crystal(symbol: &str, edge: f64, reach: f64, hanging: bool) -> Result<Net, Fault> {
    net::crystal(symbol, edge, reach, hanging).map_err(|f| told("net", &f))
}

fn polytope(diagram: &str, rings: &str, size: f64) -> Result<Net, Fault> {
    net::polytope(diagram, rings, size).map_err(|f| told("polytope", &f))
}

fn solid(net: &Net, radius: f64, joint: f64) -> Result<Solid, Fault> {
    net::struts(net, radius, joint).map_err(|f| told("struts", &f))
}

fn sequence(symbol: &str, count: usize) -> Result<Vec<Value>, Fault> {
    let counts = net::sequence(symbol, count).map_err(|f| told("sequence", &f))?;
    Ok(counts.into_iter().map(|n| Value::Whole(i64::try_from(n).unwrap_or(i64::MAX))).collect())
}

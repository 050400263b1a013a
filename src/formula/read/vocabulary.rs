//! Words found around formulas: those that part statements, those that say nothing, and names of shapes.

/// Words that part statements.
#[rustfmt::skip]
pub(super) const PARTING: &[&str] = &[
    "where", "with", "given", "when", "let", "then", "taking", "having", "here", "using", "set", "assuming",
    "over", "for", "and", "such", "that", "so", "provided", "whenever", "where,", "subject", "und", "avec",
    "mit", "wobei", "où", "parameter", "parameters",
];

/// Words around formulas that say nothing about them.
#[rustfmt::skip]
pub(super) const FILLER: &[&str] = &[
    "the", "a", "an", "surface", "curve", "equation", "equations", "formula", "is", "are", "given", "by",
    "of", "defined", "as", "implicit", "consider", "we", "have", "in", "on", "plot", "try", "solve",
    "parametric", "implicitly", "following", "has", "this", "its", "satisfies", "called", "level", "set",
    "solid", "region", "function", "be", "to", "from", "obtained", "can", "written", "also", "it", "form",
    "cartesian", "polar", "coordinates", "spherical", "cylindrical", "use", "draw", "looks", "like", "nice",
    "my", "your", "minimal", "approximation", "approximated", "approx", "now", "which", "or", "real", "all",
    "points", "space", "satisfying", "constants", "constant", "inside", "shape", "eq", "eqn", "fig",
    "figure", "display", "show", "render", "via", "i", "get", "got", "at", "describes", "describe", "model",
    "object", "you", "make", "could", "would", "please", "me", "do", "does", "what", "how", "someone", "anyone",
    "want", "need", "help", "generate", "create", "hence", "thus", "namely", "therefore", "everywhere", "double", "equivalently", "reads", "here", "build", "turn", "convert", "mesh", "found", "thanks",
];

/// Names of shapes that stand before a formula as its caption.
#[rustfmt::skip]
pub(super) const CAPTIONS: &[&str] = &[
    "sphere", "ball", "torus", "ellipsoid", "cone", "cylinder", "paraboloid", "hyperboloid", "helicoid", "catenoid",
    "heart", "cube", "plane", "saddle", "knot", "trefoil", "helix", "spiral", "gyroid", "diamond", "quadric", "quartic",
    "cubic", "sextic", "octic", "cyclide", "cardioid", "lemniscate", "conoid", "ribbon", "example", "example:",
];

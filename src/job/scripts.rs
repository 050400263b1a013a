//! The worked scripts that ship with the program.

/// Name and text of each, in the order of the exhibition.
pub fn scripts() -> &'static [(&'static str, &'static str)] {
    &[
        ("drop-pendant", include_str!("../../scripts/drop-pendant.ogee")),
        ("knotted-bracelet", include_str!("../../scripts/knotted-bracelet.ogee")),
        ("tight-knot", include_str!("../../scripts/tight-knot.ogee")),
        ("three-tides", include_str!("../../scripts/three-tides.ogee")),
        ("one-sided-bangle", include_str!("../../scripts/one-sided-bangle.ogee")),
        ("bead-bangle", include_str!("../../scripts/bead-bangle.ogee")),
        ("twisted-ring", include_str!("../../scripts/twisted-ring.ogee")),
        ("saddle-flower", include_str!("../../scripts/saddle-flower.ogee")),
        ("tide-window", include_str!("../../scripts/tide-window.ogee")),
        ("reading-lamp", include_str!("../../scripts/reading-lamp.ogee")),
        ("tide-bowl", include_str!("../../scripts/tide-bowl.ogee")),
        ("tide-vessels", include_str!("../../scripts/tide-vessels.ogee")),
        ("tea-light-shells", include_str!("../../scripts/tea-light-shells.ogee")),
        ("wave-block", include_str!("../../scripts/wave-block.ogee")),
        ("woven-mat", include_str!("../../scripts/woven-mat.ogee")),
        ("seed-tile", include_str!("../../scripts/seed-tile.ogee")),
        ("sand-tile", include_str!("../../scripts/sand-tile.ogee")),
        ("door-handle", include_str!("../../scripts/door-handle.ogee")),
        ("tendril-hook", include_str!("../../scripts/tendril-hook.ogee")),
        ("desk-weights", include_str!("../../scripts/desk-weights.ogee")),
        ("poppy-head", include_str!("../../scripts/poppy-head.ogee")),
        ("horn-shell", include_str!("../../scripts/horn-shell.ogee")),
        ("lattice-sphere", include_str!("../../scripts/lattice-sphere.ogee")),
        ("sextic-bronze", include_str!("../../scripts/sextic-bronze.ogee")),
        ("twenty-seven-lines", include_str!("../../scripts/twenty-seven-lines.ogee")),
        ("wallpaper-sampler", include_str!("../../scripts/wallpaper-sampler.ogee")),
        ("hat-window", include_str!("../../scripts/hat-window.ogee")),
        ("star-screen", include_str!("../../scripts/star-screen.ogee")),
        ("tide-disc", include_str!("../../scripts/tide-disc.ogee")),
        ("net-ball", include_str!("../../scripts/net-ball.ogee")),
        ("five-cell", include_str!("../../scripts/five-cell.ogee")),
    ]
}

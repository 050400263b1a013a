//! The worked scripts that ship with the program.

/// Name and text of each, in the order of the exhibition.
pub fn scripts() -> &'static [(&'static str, &'static str)] {
    &[
        ("seed-pendant", include_str!("../../scripts/seed-pendant.ogee")),
        ("tide-lamp", include_str!("../../scripts/tide-lamp.ogee")),
        ("sunflower-dish", include_str!("../../scripts/sunflower-dish.ogee")),
        ("interference-window", include_str!("../../scripts/interference-window.ogee")),
        ("low-tide-bowl", include_str!("../../scripts/low-tide-bowl.ogee")),
        ("tide-bangle", include_str!("../../scripts/tide-bangle.ogee")),
        ("poppy-head", include_str!("../../scripts/poppy-head.ogee")),
        ("dandelion-clock", include_str!("../../scripts/dandelion-clock.ogee")),
        ("horn-shell", include_str!("../../scripts/horn-shell.ogee")),
        ("kelp-vase", include_str!("../../scripts/kelp-vase.ogee")),
        ("tide-block", include_str!("../../scripts/tide-block.ogee")),
        ("sand-tile", include_str!("../../scripts/sand-tile.ogee")),
        ("pebble-lantern", include_str!("../../scripts/pebble-lantern.ogee")),
        ("node-bronze", include_str!("../../scripts/node-bronze.ogee")),
    ]
}

//! The worked scripts that ship with the program.

/// Name and text of each, in the order of the exhibition.
pub fn scripts() -> &'static [(&'static str, &'static str)] {
    &[]
}

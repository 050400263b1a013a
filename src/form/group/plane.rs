//! The seven frieze groups and the seventeen wallpaper groups.
//!
//! Generators as in International Tables for Crystallography A, part 6 (wallpaper) and E (friezes); orbifold names by
//! J. H. Conway (Structural Chemistry 13 (2002) 247).

/// A frieze or wallpaper group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Plane {
    /// Its Hermann-Mauguin symbol.
    pub symbol: &'static str,
    /// Other spellings in use.
    pub also: &'static [&'static str],
    /// Its orbifold symbol, with x for ×, o for ○ and ∞.
    pub orbifold: &'static str,
    /// Generators beyond the steps of the lattice, in the coordinates of the cell.
    pub generators: &'static [&'static str],
    /// What its cell may be.
    pub cell: Cell,
}

/// What a cell of the plane may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cell {
    /// A step along x, for friezes.
    Step,
    /// Any two edges and angle.
    Oblique,
    /// A right angle.
    Rectangle,
    /// Equal edges and a right angle.
    Square,
    /// Equal edges and 120°.
    Hexagon,
}

macro_rules! planes {
    ($($symbol:literal [$($also:literal),*] $orbifold:literal $cell:ident $($generator:literal)*;)*) => {
        &[$(Plane {
            symbol: $symbol, also: &[$($also),*], orbifold: $orbifold, generators: &[$($generator),*], cell: Cell::$cell,
        }),*]
    };
}

/// The wallpaper groups.
pub const WALLPAPER: &[Plane] = planes! {
    "p1" [] "o" Oblique;
    "p2" [] "2222" Oblique "-x,-y";
    "pm" [] "**" Rectangle "-x,y";
    "pg" ["p1g1"] "xx" Rectangle "-x,y+1/2";
    "cm" ["c1m1"] "*x" Rectangle "-x,y" "x+1/2,y+1/2";
    "p2mm" ["pmm"] "*2222" Rectangle "-x,-y" "-x,y";
    "p2mg" ["pmg"] "22*" Rectangle "-x,-y" "-x+1/2,y";
    "p2gg" ["pgg"] "22x" Rectangle "-x,-y" "-x+1/2,y+1/2";
    "c2mm" ["cmm", "cmm2"] "2*22" Rectangle "-x,-y" "-x,y" "x+1/2,y+1/2";
    "p4" [] "442" Square "-y,x";
    "p4mm" ["p4m"] "*442" Square "-y,x" "-x,y";
    "p4gm" ["p4g"] "4*2" Square "-y,x" "-x+1/2,y+1/2";
    "p3" [] "333" Hexagon "-y,x-y";
    "p3m1" [] "*333" Hexagon "-y,x-y" "-y,-x";
    "p31m" [] "3*3" Hexagon "-y,x-y" "y,x";
    "p6" [] "632" Hexagon "-y,x-y" "-x,-y";
    "p6mm" ["p6m"] "*632" Hexagon "-y,x-y" "-x,-y" "-y,-x";
};

/// The frieze groups, along x.
pub const FRIEZE: &[Plane] = planes! {
    "p1" ["p111"] "∞∞" Step;
    "p11g" ["p1a1"] "∞x" Step "x+1/2,-y";
    "p1m1" ["pm11"] "*∞∞" Step "-x,y";
    "p2" ["p112", "p211"] "22∞" Step "-x,-y";
    "p2mg" ["pma2"] "2*∞" Step "-x,-y" "-x+1/2,y";
    "p11m" [] "∞*" Step "x,-y";
    "p2mm" ["pmm2"] "*22∞" Step "-x,-y" "x,-y";
};

/// The group of that name in a list; signs for × and ∞ may be typed as x and oo.
pub fn named(list: &'static [Plane], symbol: &str) -> Option<&'static Plane> {
    let plain = symbol.replace('×', "x").replace('○', "o").replace("oo", "∞");
    let sign = |p: &Plane| {
        p.orbifold == plain || (p.orbifold.starts_with("*22") && plain.replace(' ', "") == p.orbifold)
    };
    list.iter().find(|p| p.symbol == symbol || p.also.contains(&symbol) || sign(p))
}

//! Solids from files.

use super::Host;
use crate::form::{self, Solid};
use crate::read;
use crate::shape::damage;
use crate::value::{Fault, Size, Text, Truth};

words! { "files":
    /// A solid from the triangles of a file beside the script: STL, OBJ, PLY or 3MF.
    ///
    /// What is read is a solid like others: it can be cut, joined, hollowed and filled with a lattice. A file that
    /// bounds no solid (holes, triangles turned over or crossing) is refused with the places; `heal` takes it all
    /// the same. Healed is what the triangles go round by half and more, with neighbours turned alike: small holes are
    /// spanned smoothly, and a scan without its underside is closed about flat.
    ///
    /// Source: A. Jacobson, L. Kavan, O. Sorkine-Hornung, ACM Trans. Graph. 32 (2013) 33.
    read with host(
        /// Name of the file with its ending; it lies beside the script or in a folder below.
        name: Text,
        /// Length of one unit of the file, for files that do not say it (all but 3MF): 10 for cm, 25.4 for inches.
        unit: Size = 1.0,
        /// Take a damaged file too, and close it.
        heal: Truth = false,
    ) -> Solid { from_file(host, &name, unit, heal) }
    example { "read(\"pebble.ply\", #{heal: true})" }
    fails { "read(\"pebble.ply\")" => "edges of holes" }
    fails { "read(\"lost.stl\")" => "no file \"lost.stl\"" }
    fails { "read(\"pebble.doc\")" => "no file" }
    fails { "read(\"../pebble.ply\")" => "leads out of the script's folder" }
}

fn from_file(host: &dyn Host, name: &str, unit: f64, heal: bool) -> Result<Solid, Fault> {
    let bytes = host.file(name)?;
    let mut mesh = read::mesh(name, &bytes).map_err(|why| Fault::new(format!("read: \"{name}\": {why}")))?;
    mesh.points.iter_mut().for_each(|p| *p = *p * unit);
    let broken = mesh.laws();
    if broken.is_empty() {
        return Ok(form::scan(mesh));
    }
    let found = damage(&broken).join("; ");
    if !heal {
        return Err(Fault::new(format!("read: \"{name}\" bounds no solid: {found}"))
            .hint(format!("`read(\"{name}\", #{{heal: true}})` closes it by what its triangles go round")));
    }
    let turned = mesh.turn_alike();
    let turned = if turned > 0 { format!("; triangles turned: {turned}") } else { String::new() };
    host.say(format!("healed \"{name}\": {found}{turned}"));
    Ok(form::scan(mesh))
}

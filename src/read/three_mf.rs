//! 3MF: the objects of the build, each where its item and the assemblies above it put it.
//!
//! Source: 3MF Core Specification 1.3, sections 3.3 (transforms), 3.4 (units), 4.2 (components), 5 (build).

use std::collections::HashMap;
use std::io::Cursor;

use threemf2::model::builder::Unit;
use threemf2::package::ThreemfPackage;
use threemf2::package::query::{
    self, ComponentsObjectPackageView as Assembly, MeshObjectPackageView as Object,
};

use super::Polygons;
use crate::base::Vec3;

/// Assemblies within assemblies, at most; and parts put down, at most.
const DEEPEST: usize = 32;
const MOST_PARTS: usize = 10_000;

/// An object by the model part it stands in and its number there.
type Key<'a> = (Option<&'a str>, u32);
/// Columns first: three axes and a shift.
type Matrix = [f64; 16];

/// Reads what is to be built; lengths in mm.
pub fn read(bytes: &[u8]) -> Result<Polygons, String> {
    let package = ThreemfPackage::from_reader_with_memory_optimized_deserializer(Cursor::new(bytes), true)
        .map_err(|e| e.to_string())?;
    let unit = match package.root.unit {
        Some(Unit::Micron) => 1e-3,
        None | Some(Unit::Millimeter) => 1.0,
        Some(Unit::Centimeter) => 10.0,
        Some(Unit::Inch) => 25.4,
        Some(Unit::Foot) => 304.8,
        Some(Unit::Meter) => 1000.0,
    };
    let mut build = Build {
        objects: query::get_mesh_objects(&package).map(|o| ((o.origin_model_path, o.view.id()), o)).collect(),
        assemblies: query::get_components_objects(&package)
            .map(|o| ((o.origin_model_path, o.view.id()), o))
            .collect(),
        ..Build::default()
    };
    for item in query::get_items(&package).filter(|i| i.origin_model_path.is_none()) {
        let place = item.view.transform().into_iter().collect::<Vec<_>>();
        build.put((item.view.path(), item.view.object_id()), &place, 0)?;
    }
    build.points.iter_mut().for_each(|p| *p = *p * unit);
    Ok((build.points, build.polygons))
}

#[derive(Default)]
struct Build<'a> {
    objects: HashMap<Key<'a>, Object<'a>>,
    assemblies: HashMap<Key<'a>, Assembly<'a>>,
    points: Vec<Vec3>,
    polygons: Vec<Vec<u32>>,
    parts: usize,
}

impl Build<'_> {
    /// Puts an object down, moved by each of `places` in turn.
    fn put(&mut self, key: Key<'_>, places: &[Matrix], depth: usize) -> Result<(), String> {
        self.parts += 1;
        if depth > DEEPEST || self.parts > MOST_PARTS {
            return Err("its assemblies go round in a circle or have too many parts".to_owned());
        }
        if let Some(object) = self.objects.get(&key) {
            let first = self.points.len() as u32;
            let moved = |p: [f64; 3]| Vec3::from(places.iter().fold(p, |p, m| image(m, p)));
            self.points.extend(object.view.vertices().map(moved));
            let turned = places.iter().filter(|m| determinant(m) < 0.0).count() % 2 == 1;
            self.polygons.extend(object.view.triangles().map(|[a, b, c]| {
                let t = if turned { [a, c, b] } else { [a, b, c] };
                t.iter().map(|i| first.saturating_add(*i)).collect()
            }));
            return Ok(());
        }
        let Some(assembly) = self.assemblies.get(&key) else {
            return Err(format!("its build names object {} that is not there", key.1));
        };
        type Part = (Option<String>, u32, Option<Matrix>);
        let parts: Vec<Part> = assembly
            .view
            .components()
            .map(|c| (c.path().or(key.0).map(str::to_owned), c.object_id(), c.transform()))
            .collect();
        for (path, id, own) in parts {
            let all: Vec<Matrix> = own.into_iter().chain(places.iter().copied()).collect();
            self.put((path.as_deref(), id), &all, depth + 1)?;
        }
        Ok(())
    }
}

fn image(m: &Matrix, p: [f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|row| (0..3).map(|k| m[4 * row + k] * p[k]).sum::<f64>() + m[4 * row + 3])
}

fn determinant(m: &Matrix) -> f64 {
    let [a, b, c] = [0, 1, 2].map(|row| Vec3::new(m[4 * row], m[4 * row + 1], m[4 * row + 2]));
    a.dot(b.cross(c))
}

//! 3MF: an archive that tells unit, title, maker, licence, and holds the meshes, a picture and the script.
//!
//! Source: *3MF Core Specification* 1.4.0: packages and relationships (chapter 2), metadata names (3.4.1), build items
//! (3.4.3), meshes (4.1). The script is a part of its own, found by two relationships: the specification's
//! `mustpreserve`, so that programs which save the file again keep it, and one of ours that says what it is.

use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use super::text::{program, push_count, push_mm, xml};
use super::{ExportFault, Meta, Part};
use crate::base::Box3;

const MODEL: &str = "3D/3dmodel.model";
const PICTURE: &str = "Metadata/thumbnail.png";
const SCRIPT: &str = "Metadata/script.ogee";
/// The relationship that says: this part is the script that made the model.
const SCRIPT_RELATIONSHIP: &str = "urn:ogee:script";
const RELATIONSHIPS: &str = "http://schemas.openxmlformats.org/package/2006/relationships";
const DECLARATION: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";

/// One object and one build item for each part that has triangles; all are moved together so that they stand on the
/// build plate, in the octant where the specification wants them, while the meshes keep the script's own places.
pub fn bytes(parts: &[Part], meta: &Meta) -> Result<Vec<u8>, ExportFault> {
    let mut files = vec![
        ("[Content_Types].xml", content_types().into_bytes()),
        ("_rels/.rels", package_relationships(meta).into_bytes()),
        (MODEL, model(parts, meta).into_bytes()),
    ];
    if let Some(picture) = &meta.thumbnail {
        files.push((PICTURE, picture.clone()));
    }
    if !meta.script.is_empty() {
        files.push(("3D/_rels/3dmodel.model.rels", model_relationships().into_bytes()));
        files.push((SCRIPT, meta.script.clone().into_bytes()));
    }
    archive(&files).map_err(|fault| ExportFault::Archive(fault.to_string()))
}

/// The archive. Its time stamps are the earliest that the format knows, so that the same model gives the same bytes.
fn archive(files: &[(&str, Vec<u8>)]) -> zip::result::ZipResult<Vec<u8>> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::DEFAULT)
        .unix_permissions(0o644);
    for (name, content) in files {
        archive.start_file(*name, options.large_file(content.len() >= u32::MAX as usize))?;
        archive.write_all(content)?;
    }
    Ok(archive.finish()?.into_inner())
}

fn content_types() -> String {
    let types = [
        ("rels", "application/vnd.openxmlformats-package.relationships+xml"),
        ("model", "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"),
        ("png", "image/png"),
        ("ogee", "text/plain"),
    ];
    let mut out = format!(
        "{DECLARATION}<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">\n"
    );
    for (ending, kind) in types {
        out.push_str(&format!("<Default Extension=\"{ending}\" ContentType=\"{kind}\"/>\n"));
    }
    out + "</Types>\n"
}

fn relationships(list: &[(&str, String)]) -> String {
    let mut out = format!("{DECLARATION}<Relationships xmlns=\"{RELATIONSHIPS}\">\n");
    for (number, (target, kind)) in list.iter().enumerate() {
        out.push_str(&format!("<Relationship Id=\"rel{number}\" Target=\"/{target}\" Type=\"{kind}\"/>\n"));
    }
    out + "</Relationships>\n"
}

fn package_relationships(meta: &Meta) -> String {
    let mut list = vec![(MODEL, "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel".to_owned())];
    if meta.thumbnail.is_some() {
        list.push((PICTURE, format!("{RELATIONSHIPS}/metadata/thumbnail")));
    }
    if !meta.script.is_empty() {
        list.push((SCRIPT, format!("{RELATIONSHIPS}/mustpreserve")));
    }
    relationships(&list)
}

fn model_relationships() -> String {
    relationships(&[(SCRIPT, SCRIPT_RELATIONSHIP.to_owned())])
}

/// The model part.
fn model(parts: &[Part], meta: &Meta) -> String {
    let mut out = DECLARATION.to_owned();
    out.push_str("<model unit=\"millimeter\" xml:lang=\"en-US\" ");
    out.push_str("xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n");
    let program = program();
    let told = [
        ("Title", &meta.title),
        ("Designer", &meta.maker),
        ("Description", &meta.sentence),
        ("LicenseTerms", &meta.licence),
        ("Application", &program),
    ];
    for (name, text) in told.into_iter().filter(|(_, text)| !text.trim().is_empty()) {
        out.push_str(&format!("<metadata name=\"{name}\">{}</metadata>\n", xml(text)));
    }
    out.push_str("<resources>\n");
    let full: Vec<&Part> = parts.iter().filter(|part| !part.mesh.triangles.is_empty()).collect();
    for (number, part) in full.iter().enumerate() {
        push_object(&mut out, number + 1, part);
    }
    out.push_str("</resources>\n<build>\n");
    let least = full.iter().fold(Box3::EMPTY, |all, part| all.join(part.mesh.bounds())).min;
    for number in 1..=full.len() {
        out.push_str(&format!("<item objectid=\"{number}\" transform=\"1 0 0 0 1 0 0 0 1"));
        for axis in 0..3 {
            out.push(' ');
            push_mm(&mut out, -least[axis]);
        }
        out.push_str("\"/>\n");
    }
    out + "</build>\n</model>\n"
}

fn push_object(out: &mut String, number: usize, part: &Part) {
    out.push_str(&format!(
        "<object id=\"{number}\" type=\"model\" name=\"{}\"><mesh>\n<vertices>\n",
        xml(part.name)
    ));
    out.reserve(48 * part.mesh.points.len() + 44 * part.mesh.triangles.len());
    for place in &part.mesh.points {
        out.push_str("<vertex x=\"");
        push_mm(out, place.x);
        out.push_str("\" y=\"");
        push_mm(out, place.y);
        out.push_str("\" z=\"");
        push_mm(out, place.z);
        out.push_str("\"/>\n");
    }
    out.push_str("</vertices>\n<triangles>\n");
    for triangle in &part.mesh.triangles {
        for (name, corner) in ["<triangle v1=\"", "\" v2=\"", "\" v3=\""].into_iter().zip(triangle) {
            out.push_str(name);
            push_count(out, u64::from(*corner));
        }
        out.push_str("\"/>\n");
    }
    out.push_str("</triangles>\n</mesh></object>\n");
}

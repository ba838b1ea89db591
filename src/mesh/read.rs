//! One way to read a mesh file, whatever its type.
use std::ffi::OsStr;
use std::path::Path;

use super::doubt::MeshError;
use super::glb::parse_glb;
use super::obj::{looks_like_obj, parse_obj};
use super::ply::parse_ply;
use super::raw::RawMesh;
use super::stl::{MAX_FACETS, parse_stl};
use crate::files::Files;

/// Largest file that is read, bytes: some 40 million facets of binary STL,
/// more than a workshop's computer has memory for.
pub const MOST_BYTES: u64 = 2 << 30;

/// Reads a mesh file: STL, OBJ, PLY or GLB, told apart by what is in it and,
/// where that leaves a doubt, by its name.
///
/// # Errors
/// [`MeshError::Io`] and [`MeshError::FileTooLarge`]; otherwise what
/// [`parse_mesh`] says, with the path before it.
pub fn read_mesh(files: &dyn Files, path: &Path) -> Result<RawMesh, MeshError> {
    let in_file = |source| MeshError::InFile {
        path: path.to_owned(),
        source: Box::new(source),
    };
    let bytes = mesh_bytes(files, path)?;
    let extension = path
        .extension()
        .map(|e| e.to_string_lossy().to_ascii_lowercase());
    parse_mesh(&bytes, extension.as_deref().unwrap_or_default()).map_err(in_file)
}

/// The bytes of a mesh file.
fn mesh_bytes(files: &dyn Files, path: &Path) -> Result<Vec<u8>, MeshError> {
    let too_large = |bytes| MeshError::InFile {
        path: path.to_owned(),
        source: Box::new(MeshError::FileTooLarge {
            bytes,
            most: MOST_BYTES,
        }),
    };
    let io_error = |source| MeshError::Io {
        path: path.to_owned(),
        source,
    };
    let bytes = files.size(path).map_err(io_error)?;
    if bytes > MOST_BYTES {
        return Err(too_large(bytes));
    }
    let bytes = files.read(path, MOST_BYTES).map_err(io_error)?;
    // It may have grown, or hold more than it says.
    let count = bytes.len() as u64;
    (count <= MOST_BYTES)
        .then_some(bytes)
        .ok_or_else(|| too_large(count))
}

/// Whether a file is named like a mesh that is read here: STL, OBJ, PLY or GLB.
#[must_use]
pub fn is_named_like_a_mesh(path: &Path) -> bool {
    let ending = path.extension().map(OsStr::to_ascii_lowercase);
    let ending = ending.as_deref().and_then(OsStr::to_str);
    matches!(ending, Some("stl" | "obj" | "ply" | "glb"))
}

/// Reads the bytes of a mesh file. `extension` is the end of its name in
/// lower case, or nothing.
///
/// # Errors
/// [`MeshError::OtherFormat`] with a hint for types that are not read, and
/// what the reader of the type says.
pub fn parse_mesh(bytes: &[u8], extension: &str) -> Result<RawMesh, MeshError> {
    let raw = if bytes.starts_with(b"ply\n") || bytes.starts_with(b"ply\r") {
        parse_ply(bytes)?
    } else if bytes.starts_with(b"glTF") {
        parse_glb(bytes)?
    } else if is_boat_file(bytes, extension) {
        return Err(MeshError::BoatFile);
    } else if let Some(found) = other_format(bytes, extension) {
        return Err(MeshError::OtherFormat {
            found: found.to_owned(),
        });
    } else if extension == "obj" || looks_like_obj(bytes) {
        parse_obj(bytes)?
    } else {
        return parse_stl(bytes);
    };
    if raw.surface.faces.is_empty() {
        return Err(MeshError::Empty {
            dropped: raw.facets.dropped().len(),
        });
    }
    if raw.surface.faces.len() > MAX_FACETS {
        return Err(MeshError::TooLarge {
            facets: raw.surface.faces.len(),
            most: MAX_FACETS,
        });
    }
    Ok(raw)
}

/// Whether bytes begin as a text of two bytes a character does (byte order marks of
/// the Unicode standard, section 23.8; from memory).
#[must_use]
pub fn is_utf16(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF])
}

/// Whether a file is a boat file: by its name, or by the table that each has.
fn is_boat_file(bytes: &[u8], extension: &str) -> bool {
    const HULL: &[u8] = b"[hull]";
    let lead = &bytes[..bytes.len().min(4096)];
    let mut lines = lead.split(|byte| matches!(byte, b'\n' | b'\r'));
    extension == "toml" || lines.any(|line| line.trim_ascii().starts_with(HULL))
}

/// What a file is that holds a shape in a way not read here.
fn other_format(bytes: &[u8], extension: &str) -> Option<&'static str> {
    let lead = &bytes[..bytes.len().min(4096)];
    let holds = |word: &[u8]| lead.windows(word.len()).any(|w| w == word);
    Some(if is_utf16(bytes) {
        "its text is saved as UTF-16; save it again as UTF-8"
    } else if lead.starts_with(b"ISO-10303-21") {
        "it is a STEP file: curved surfaces, not facets"
    } else if extension == "gltf" || (lead.starts_with(b"{") && holds(b"\"asset\"")) {
        "it is a glTF text file, whose data lies in other files: export it as one GLB file"
    } else if extension == "3mf" {
        "it is a 3MF file"
    } else if lead.starts_with(b"Kaydara FBX") || extension == "fbx" {
        "it is an FBX file"
    } else if holds(b"<COLLADA") || extension == "dae" {
        "it is a COLLADA file"
    } else if lead.starts_with(b"OFF") && extension == "off" {
        "it is an OFF file"
    } else if lead.starts_with(b"#USDA") || lead.starts_with(b"PXR-USDC") || extension == "usdz" {
        "it is a USD file, as phones share it"
    } else if ["las", "laz", "e57", "pts", "xyz", "pcd"].contains(&extension) {
        "it is a point cloud, without facets: make a surface of it first, with the scanning program's meshing"
    } else if [
        "igs", "iges", "stp", "step", "dxf", "dwg", "blend", "wrl", "x3d",
    ]
    .contains(&extension)
    {
        "it is a drawing or scene of another program"
    } else {
        return None;
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const OBJ: &[u8] = b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n";
    const STL: &[u8] =
        b"solid\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid\n";

    #[test]
    fn what_is_in_a_file_says_what_it_is() {
        for (bytes, extension) in [
            (OBJ, "obj"),
            (OBJ, ""),
            (OBJ, "stl"),
            (STL, "stl"),
            (STL, ""),
        ] {
            let raw = parse_mesh(bytes, extension).unwrap();
            assert_eq!(
                raw.triangles(),
                [[[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]]
            );
        }
    }

    #[test]
    fn other_types_are_named_with_a_way_out() {
        for (bytes, extension, words) in [
            (&b"ISO-10303-21;\n"[..], "stp", "a STEP file"),
            (b"{\"asset\":{}}", "gltf", "export it as one GLB"),
            (b"PK\x03\x04", "3mf", "a 3MF file"),
            (b"PK\x03\x04", "usdz", "a USD file"),
            (b"1 2 3\n", "xyz", "a point cloud"),
        ] {
            let error = parse_mesh(bytes, extension).unwrap_err().to_string();
            assert!(error.contains(words), "{error}");
            assert!(
                error.contains("export the hull again as STL, OBJ, PLY or GLB"),
                "{error}"
            );
        }
    }

    #[test]
    fn a_mesh_without_facets_is_refused() {
        let error = parse_mesh(b"v 0 0 0\nf 1 1\n", "obj").unwrap_err();
        assert!(matches!(error, MeshError::Empty { dropped: 1 }), "{error}");
    }
}

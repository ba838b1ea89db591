//! Any mesh file: every corner that is read is a finite number.
#![no_main]
use awash::mesh::parse_mesh;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    for extension in ["", "stl", "obj"] {
        if let Ok(raw) = parse_mesh(bytes, extension) {
            assert!(!raw.triangles().is_empty());
            assert!(raw.triangles().iter().flatten().flatten().all(|c| c.is_finite()));
        }
    }
});

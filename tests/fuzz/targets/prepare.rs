//! A mesh file, welded, mended and capped: closed means that every edge is
//! matched.
#![no_main]
use awash::mesh::{PrepareOptions, parse_mesh, prepare, weld};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(raw) = parse_mesh(bytes, "") {
        let welded = weld(raw.surface, 1.0);
        let prepared = prepare(welded.surface, &PrepareOptions::default());
        assert_eq!(prepared.closed, prepared.surface.is_balanced());
    }
});

//! A mesh looked at before it is a boat.
use awash::viewer::{ScanState, Step};

use crate::support::boats;

/// The tests' hull is in millimetres, 3.4 m long: its steps are done and undone.
#[test]
fn a_mesh_is_told_scaled_and_left_as_it_came() {
    let mut scan = ScanState::open(&boats("hull.stl")).unwrap();
    let size = |scan: &ScanState| {
        let (lo, hi) = scan.now.surface.bounds().unwrap();
        (hi - lo).x
    };
    assert!(!scan.now.found[0].is_empty());
    assert!((size(&scan) - 3.4).abs() < 1e-6, "{}", size(&scan));
    scan.wanted.length_m = Some(3.0);
    scan.finish();
    assert!(
        (size(&scan) - 3.0).abs() < 1e-6,
        "{} {}",
        size(&scan),
        scan.message
    );
    assert!(
        scan.now
            .found
            .iter()
            .any(|line| line.starts_with("place: scaled"))
    );
    scan.wanted.length_m = None;
    scan.finish();
    assert!((size(&scan) - 3.4).abs() < 1e-6 && scan.now.result.is_none());
    // What cannot be done is told once, and the mesh stays as it was.
    scan.ask(Step::DropFloor, true);
    scan.finish();
    assert!(!scan.message.is_empty() || scan.now.result.is_some());
    assert!(!scan.is_busy());
}

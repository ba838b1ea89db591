//! Bad bytes and bad surfaces must never panic, hang, or pass for sound.
use awash::mesh::{PrepareOptions, Surface, examine, parse_stl, prepare, solids, weld, write_stl};
use awash::numerics::Vec3;
use proptest::prelude::*;

fn text_of(surface: &Surface) -> String {
    let mut text = String::from("solid hull\n");
    for f in 0..surface.faces.len() {
        text.push_str("facet normal 0 0 0\nouter loop\n");
        for c in surface.corners(f) {
            text.push_str(&format!("vertex {} {} {}\n", c.x, c.y, c.z));
        }
        text.push_str("endloop\nendfacet\n");
    }
    text + "endsolid hull\n"
}

fn binary_of(surface: &Surface) -> Vec<u8> {
    let mut bytes = Vec::new();
    write_stl(&mut bytes, surface).expect("the cube can be written");
    bytes
}

/// Whether each edge of a surface is run as often one way as the other,
/// counted edge by edge.
fn balanced_by_count(surface: &Surface) -> bool {
    let mut net = std::collections::HashMap::new();
    for &[a, b, c] in &surface.faces {
        for (from, to) in [(a, b), (b, c), (c, a)] {
            if from != to {
                let way = if from < to { 1 } else { -1 };
                *net.entry((from.min(to), from.max(to))).or_insert(0) += way;
            }
        }
    }
    net.values().all(|n| *n == 0)
}

proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        if let Ok(raw) = parse_stl(&bytes) {
            prop_assert!(raw.triangles().iter().flatten().flatten().all(|v| v.is_finite()));
            prop_assert!(!raw.triangles().is_empty());
        }
    }

    #[test]
    fn a_damaged_file_is_refused_or_gives_finite_facets_and_a_doubt_or_a_defect(
        text in any::<bool>(),
        damage in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..8),
        cut in any::<prop::sample::Index>(),
    ) {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::new(3.0, 1.0, 0.5));
        let whole = if text { text_of(&cube).into_bytes() } else { binary_of(&cube) };
        let mut bytes = whole.clone();
        for (at, value) in damage {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        bytes.truncate(cut.index(bytes.len()) + 1);
        if let Ok(raw) = parse_stl(&bytes) {
            prop_assert!(raw.triangles().iter().flatten().flatten().all(|v| v.is_finite()));
            if raw.triangles().len() < cube.faces.len() {
                let found = examine(&weld(raw.surface, 1.0).surface);
                prop_assert!(!raw.doubts.is_empty() || !found.is_sound());
            }
        }
    }

}

proptest! {
    // Each case casts a quarter of a million columns.
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Any faces over few vertices: branching, pinched, doubled, one-sided.
    #[test]
    fn any_surface_is_prepared_and_closed_only_if_it_is(
        vertices in prop::collection::vec(prop::array::uniform3(-2.0..2.0_f64), 4..12),
        picks in prop::collection::vec(prop::array::uniform3(0_usize..12), 1..40),
    ) {
        let last = vertices.len();
        let surface = Surface {
            vertices: vertices.into_iter().map(Vec3::from).collect(),
            faces: picks
                .into_iter()
                .map(|f| f.map(|v| u32::try_from(v % last).unwrap()))
                .collect(),
        };
        prop_assert_eq!(surface.is_balanced(), balanced_by_count(&surface));
        let prepared = prepare(surface, &PrepareOptions::default());
        prop_assert_eq!(prepared.closed, balanced_by_count(&prepared.surface));
        for capped in &prepared.loops {
            prop_assert_eq!(capped.cap.len() + 2, capped.rim.len());
        }
    }

    /// A ball with random faces gone and random faces turned over: closing it
    /// gives back a closed outward surface whose volume is the ball's less
    /// what was cut off, never more.
    #[test]
    fn a_torn_ball_is_closed_outward_and_never_grows(
        gone in prop::collection::hash_set(0_usize..320, 0..60),
        turned in prop::collection::hash_set(0_usize..320, 0..200),
    ) {
        let ball = solids::icosphere(Vec3::zeros(), 1.0, 2);
        let whole = ball.signed_volume_m3();
        let mut torn = ball;
        for f in turned {
            torn.faces[f].swap(0, 1);
        }
        let mut face = 0;
        torn.faces.retain(|_| {
            face += 1;
            !gone.contains(&(face - 1))
        });
        let prepared = prepare(torn, &PrepareOptions::default());
        prop_assert!(prepared.closed, "{:?}", prepared.doubts);
        let volume = prepared.surface.signed_volume_m3();
        prop_assert!(volume > 0.0 && volume <= whole * (1.0 + 1e-12), "{} of {}", volume, whole);
    }
}

//! The bodies that properties are asked of, and what counts as the same.
use std::ops::Range;
use std::path::Path;
use std::sync::{Arc, LazyLock};

use awash::immersion::{Immersion, MomentTree, WaterPlane};
use awash::mesh::{PrepareOptions, Surface, prepare, read_mesh, solids, weld};
use awash::numerics::Vec3;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// Two ways to the same sums, each of a few thousand terms rounded at 1e-16.
pub(crate) const SAME_SUMS: f64 = 1e-12;
/// Turned and moved coordinates are rounded anew, at the size of the shift
/// (ten bodies away); a body wet for a hundredth feels that a hundredfold.
pub(crate) const ROUNDED_ANEW: f64 = 1e-11;
/// Below this share under water (or over it) a quantity of the wet part is the
/// small difference of sums over the body, and is held to the body's own size.
pub(crate) const TELLING_SHARE: f64 = 0.01;

#[derive(Debug)]
pub(crate) struct Body {
    pub(crate) name: &'static str,
    pub(crate) surface: Surface,
    pub(crate) bare: Vec<Range<usize>>,
    pub(crate) tree: Arc<MomentTree>,
    /// All of it, under a plane above everything.
    pub(crate) whole: Immersion,
    /// Longest extent, m.
    pub(crate) size_m: f64,
}

impl Body {
    fn new(name: &'static str, surface: Surface, bare: Vec<Range<usize>>) -> Self {
        let tree = Arc::new(MomentTree::new(&surface, &bare));
        let (lo, hi) = surface.bounds().expect("a body");
        let above = WaterPlane {
            up: Vec3::z(),
            level_m: hi.z + 1.0,
        };
        Self {
            name,
            whole: tree.immerse(&above),
            surface,
            bare,
            tree,
            size_m: (hi - lo).max(),
        }
    }

    /// The plane at a share of the way from the lowest to the highest point.
    pub(crate) fn plane(&self, up: Vec3, share: f64) -> WaterPlane {
        let (low, high) = self.extent(&up);
        WaterPlane {
            up,
            level_m: low + share * (high - low),
        }
    }

    fn extent(&self, up: &Vec3) -> (f64, f64) {
        let along = |direction: Vec3| self.tree.extreme(&direction).expect("a body").dot(up);
        (along(-up), along(*up))
    }

    /// The same body with its vertices moved by a map (faces turned over where
    /// the map mirrors).
    pub(crate) fn mapped(&self, mirrors: bool, map: impl Fn(&Vec3) -> Vec3) -> MomentTree {
        let mut surface = self.surface.clone();
        surface.vertices.iter_mut().for_each(|v| *v = map(v));
        if mirrors {
            surface.flip();
        }
        MomentTree::new(&surface, &self.bare)
    }
}

/// Convex and hollow, flat and round, and the open hull with its cap.
pub(crate) static BODIES: LazyLock<Vec<Body>> = LazyLock::new(|| {
    let v = Vec3::new;
    let l_section = [
        [-0.5, 0.0],
        [0.5, 0.0],
        [0.5, 0.2],
        [-0.2, 0.2],
        [-0.2, 0.7],
        [-0.5, 0.7],
    ];
    let (lo, hi) = (v(-2.0, -0.5, 0.0), v(2.0, 0.5, 0.5));
    let whole = |name, surface| Body::new(name, surface, Vec::new());
    vec![
        whole("box", solids::cuboid(lo, hi)),
        whole("fine box", solids::cuboid_subdivided(lo, hi, [9, 5, 4])),
        whole("wedge", solids::wedge(lo, hi)),
        whole("L", solids::prism_along_x(&l_section, -1.0, 1.0)),
        whole(
            "cone",
            solids::cone(v(0.0, 0.0, 1.0), v(0.3, 0.1, 0.0), 0.6, 17),
        ),
        whole("sphere", solids::icosphere(v(1.0, -2.0, 0.5), 0.7, 3)),
        whole(
            "half ellipsoid",
            solids::half_ellipsoid(v(2.0, 0.5, 0.4), 9, 23),
        ),
        whole("wigley", solids::wigley(4.0, 1.0, 0.25, 11, 0.1)),
        open_hull(),
    ]
});

fn open_hull() -> Body {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats/hull.stl");
    let raw = read_mesh(&awash::files::Disk, &path).expect("the open hull");
    let hull = prepare(weld(raw.surface, 1e-3).surface, &PrepareOptions::default());
    assert!(hull.closed, "{:?}", hull.doubts);
    let caps = hull.loops.iter().map(|rim| rim.cap.clone()).collect();
    Body::new("open hull", hull.surface, caps)
}

pub(crate) fn body() -> impl Strategy<Value = &'static Body> {
    (0..BODIES.len()).prop_map(|index| &BODIES[index])
}

/// A direction, even over the sphere.
pub(crate) fn direction() -> impl Strategy<Value = Vec3> {
    (-1.0..1.0, 0.0..std::f64::consts::TAU).prop_map(|(z, angle): (f64, f64)| {
        let r = (1.0 - z * z).sqrt();
        Vec3::new(r * angle.cos(), r * angle.sin(), z)
    })
}

pub(crate) fn cases(count: u32) -> ProptestConfig {
    let mut config = ProptestConfig::default();
    if std::env::var_os("PROPTEST_CASES").is_none() {
        config.cases = count;
    }
    if matches!(config.rng_seed, RngSeed::Random) {
        config.rng_seed = RngSeed::Fixed(3_400_800);
    }
    config.failure_persistence = None;
    config
}

/// Named scalars of a cut that do not depend on how the axes lie, each with
/// the power of length that it has.
pub(crate) fn scalars(cut: &Immersion) -> [(&'static str, f64, i32); 5] {
    let second = cut.second_moments();
    let (t, l, p) = (
        second.transverse_m4,
        second.longitudinal_m4,
        second.product_m4,
    );
    [
        ("volume", cut.volume_m3, 3),
        ("waterplane area", cut.waterplane.area_m2, 2),
        ("wetted area", cut.wetted_area_m2, 2),
        ("polar second moment", t + l, 4),
        (
            "greatest second moment",
            f64::midpoint(t, l) + ((t - l) / 2.0).hypot(p),
            4,
        ),
    ]
}

pub(crate) fn points(cut: &Immersion) -> [(&'static str, Option<Vec3>); 3] {
    [
        ("centre of buoyancy", cut.centre_of_buoyancy_m()),
        ("centre of flotation", cut.centre_of_flotation_m()),
        ("wetted centroid", cut.wetted_centroid_m()),
    ]
}

/// Whether enough lies on both sides of the plane for shares to mean much.
pub(crate) fn is_telling(body: &Body, cut: &Immersion) -> bool {
    let share = cut.volume_m3 / body.whole.volume_m3;
    (TELLING_SHARE..1.0 - TELLING_SHARE).contains(&share)
}

/// Two cuts must have the same scalars, and the second's points must be the
/// first's carried by a map.
pub(crate) fn agree(
    body: &Body,
    first: &Immersion,
    second: &Immersion,
    within: f64,
    carry: impl Fn(Vec3) -> Vec3,
) -> Result<(), TestCaseError> {
    let telling = is_telling(body, first);
    for ((name, a, power), (_, b, _)) in scalars(first).into_iter().zip(scalars(second)) {
        let size = if telling {
            a.abs()
        } else {
            body.size_m.powi(power)
        };
        prop_assert!(
            (a - b).abs() <= within * size,
            "{} of {}: {a:e} and {b:e}, off by {:e} of {size:e}",
            name,
            body.name,
            (a - b).abs() / size
        );
    }
    for ((name, a), (_, b)) in points(first).into_iter().zip(points(second)) {
        if !telling {
            continue;
        }
        let (a, b) = (carry(a.expect("wet")), b.expect("wet"));
        prop_assert!(
            (a - b).norm() <= within * body.size_m,
            "{} of {}: {a:?} and {b:?}",
            name,
            body.name
        );
    }
    Ok(())
}

/// A function went from `-h` to `+h` by `change`, so that its mean slope there
/// is `change/2h`; that must be the slope found in the middle. The two differ
/// by less than the second difference of the slope, be it smooth, with a kink
/// or with a step in between; `floor` is the rounding of `change/2h`.
pub(crate) fn is_slope(
    what: &str,
    change: f64,
    half_step: f64,
    slopes: [f64; 3],
    floor: f64,
) -> Result<(), TestCaseError> {
    let mean = change / (2.0 * half_step);
    let [before, here, after] = slopes;
    let second_difference = (before - 2.0 * here + after).abs();
    prop_assert!(
        (mean - here).abs() <= second_difference + floor,
        "{what}: {here:e}, but it changes by {mean:e} (allowed {second_difference:e} + {floor:e})"
    );
    Ok(())
}

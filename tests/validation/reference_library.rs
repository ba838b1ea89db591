//! A general-purpose geometry library, parry3d, asked the same: mass
//! properties of closed meshes, and the area inside a plane section.
use std::path::Path;

use awash::immersion::{MomentTree, WaterPlane};
use awash::mesh::{PrepareOptions, Surface, prepare, read_mesh, solids, weld};
use awash::numerics::Vec3;
use parry3d_f64::mass_properties::MassProperties;
use parry3d_f64::math::Vector;
use parry3d_f64::query::IntersectResult;
use parry3d_f64::shape::{Polyline, TriMesh};

use crate::support::{near, near_share};

/// Both sum a few thousand terms about different points; see each use.
const SUMMED: f64 = 1e-11;
/// How near the plane a corner must lie for the library to call it on the
/// plane, m: rounding only.
const ON_PLANE_M: f64 = 1e-12;

pub(crate) fn own_mesh(name: &str) -> Surface {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/boats")
        .join(name);
    let raw = read_mesh(&awash::files::Disk, &path).expect("a mesh of the tests' boats");
    let prepared = prepare(weld(raw.surface, 1e-3).surface, &PrepareOptions::default());
    assert!(prepared.closed, "{name}: {:?}", prepared.doubts);
    prepared.surface
}

fn closed_meshes() -> Vec<(&'static str, Surface)> {
    let v = Vec3::new;
    vec![
        ("foredeck", own_mesh("foredeck.stl")),
        ("well", own_mesh("well.stl")),
        ("hull with its cap", own_mesh("hull.stl")),
        ("wedge", solids::wedge(v(0.0, -0.5, 0.0), v(4.0, 0.5, 0.5))),
        ("sphere", solids::icosphere(v(3.0, -2.0, 1.0), 0.7, 4)),
        (
            "half ellipsoid",
            solids::half_ellipsoid(v(2.0, 0.5, 0.4), 12, 48),
        ),
        ("wigley", solids::wigley(4.0, 1.0, 0.25, 20, 0.1)),
        (
            "cone",
            solids::cone(v(1.0, 1.0, 1.0), v(2.0, 3.0, 0.0), 0.6, 40),
        ),
    ]
}

fn for_parry(surface: &Surface) -> TriMesh {
    let vertices = surface
        .vertices
        .iter()
        .map(|p| Vector::new(p.x, p.y, p.z))
        .collect();
    TriMesh::new(vertices, surface.faces.clone()).expect("a mesh with faces")
}

#[test]
fn whole_volume_and_centroid_are_the_librarys() {
    for (name, surface) in closed_meshes() {
        let mesh = for_parry(&surface);
        let theirs = MassProperties::from_trimesh(1.0, mesh.vertices(), mesh.indices());
        let above = WaterPlane {
            up: Vec3::z(),
            level_m: surface.bounds().expect("a body").1.z + 1.0,
        };
        let ours = MomentTree::new(&surface, &[]).immerse(&above);
        near_share(name, ours.volume_m3, theirs.mass(), SUMMED);
        let centroid = ours.centre_of_buoyancy_m().expect("a volume");
        let size = surface.diagonal_m();
        for (axis, want) in theirs.local_com.to_array().into_iter().enumerate() {
            near(name, centroid[axis], want, SUMMED * size);
        }
    }
}

/// Level, heeled and pitched planes through the body at several heights.
#[test]
fn waterplane_area_is_that_of_the_librarys_section() {
    for (name, surface) in closed_meshes() {
        let (mesh, tree) = (for_parry(&surface), MomentTree::new(&surface, &[]));
        for (heel, pitch) in [(0.0, 0.0), (17.0, 4.0), (-55.0, 20.0), (160.0, -8.0)] {
            let up = WaterPlane::at_attitude(heel, pitch, 0.0).up;
            let high = tree.extreme(&up).expect("a body").dot(&up);
            let low = tree.extreme(&-up).expect("a body").dot(&up);
            for share in [0.137, 0.371, 0.613, 0.879] {
                let level_m = low + share * (high - low);
                let axis = Vector::new(up.x, up.y, up.z);
                let IntersectResult::Intersect(section) =
                    mesh.intersection_with_local_plane(axis, level_m, ON_PLANE_M)
                else {
                    panic!("{name}: the library found no section");
                };
                let plane = WaterPlane { up, level_m };
                let cut = tree.immerse(&plane);
                let area = cut.waterplane.area_m2;
                let theirs = area_inside(&section, &up);
                let what = format!("{name}, heel {heel}, pitch {pitch}, {share} up");
                // The section's corners are divided for apart from ours: a
                // few units of rounding of the size, times the length round.
                near(
                    &format!("waterplane area, {what}"),
                    area,
                    theirs,
                    SUMMED * surface.diagonal_m().powi(2),
                );
            }
        }
    }
}

/// Area inside the loops of a section, none of which lies in another here,
/// whichever way each runs.
fn area_inside(section: &Polyline, up: &Vec3) -> f64 {
    let points: Vec<Vec3> = section
        .vertices()
        .iter()
        .map(|p| Vec3::new(p.x, p.y, p.z))
        .collect();
    let mut mates = vec![Vec::new(); points.len()];
    for (segment, &[a, b]) in section.indices().iter().enumerate() {
        mates[a as usize].push((segment, b as usize));
        mates[b as usize].push((segment, a as usize));
    }
    let mut used = vec![false; section.indices().len()];
    let mut total = 0.0;
    for (first, &[start, next]) in section.indices().iter().enumerate() {
        if used[first] {
            continue;
        }
        used[first] = true;
        let (start, mut here) = (start as usize, next as usize);
        let origin = points[start];
        let mut twice = Vec3::zeros();
        while here != start {
            let (segment, there) = mates[here]
                .iter()
                .copied()
                .find(|(segment, _)| !used[*segment])
                .expect("the section of a closed mesh closes");
            used[segment] = true;
            twice += (points[here] - origin).cross(&(points[there] - origin));
            here = there;
        }
        total += twice.dot(up).abs() / 2.0;
    }
    total
}

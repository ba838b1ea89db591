//! Solids whose volume and moments are known in closed form: what tests,
//! benchmarks and the demo measure against.
//!
//! Every one is watertight, faces outward and shares its vertices. A solid
//! with curved sides is an inscribed polyhedron; its error falls with the
//! square of the facet size.
use std::collections::HashMap;
use std::f64::consts::{PI, TAU};

use super::cap::triangulate_ring;
use super::doubt::id;
use super::surface::Surface;
use crate::numerics::Vec3;

/// Box between two opposite corners. Volume `l·b·h`.
#[must_use]
pub fn cuboid(lo: Vec3, hi: Vec3) -> Surface {
    cuboid_subdivided(lo, hi, [1, 1, 1])
}

/// Box whose sides are cut into `cells` along x, y and z (at least one each).
#[must_use]
pub fn cuboid_subdivided(lo: Vec3, hi: Vec3, cells: [usize; 3]) -> Surface {
    let cells = cells.map(|n| n.max(1));
    let mut builder = LatticeBuilder::new(|lattice: [usize; 3]| {
        Vec3::from_fn(|axis, _| {
            let t = lattice[axis] as f64 / cells[axis] as f64;
            lo[axis] * (1.0 - t) + hi[axis] * t
        })
    });
    for axis in 0..3 {
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        for (i, j) in (0..cells[u]).flat_map(|i| (0..cells[v]).map(move |j| (i, j))) {
            let mut corners = [[0, 0], [1, 0], [1, 1], [0, 1]].map(|[di, dj]| {
                let mut lattice = [0; 3];
                lattice[u] = i + di;
                lattice[v] = j + dj;
                lattice
            });
            // (u, v, axis) is right-handed, so this order faces along +axis.
            for corner in &mut corners {
                corner[axis] = cells[axis];
            }
            builder.quad(corners);
            for corner in &mut corners {
                corner[axis] = 0;
            }
            // The same diagonal as across, so that boxes side by side match.
            corners[1..].reverse();
            builder.quad(corners);
        }
    }
    builder.surface
}

/// Wedge: full height at `lo.x`, its top falling to the bottom edge at `hi.x`.
/// Volume `l·b·h/2`; centroid a third of the length and of the height from
/// the high end's foot.
#[must_use]
pub fn wedge(lo: Vec3, hi: Vec3) -> Surface {
    let corners = [
        Vec3::new(lo.x, lo.y, lo.z),
        Vec3::new(lo.x, hi.y, lo.z),
        Vec3::new(lo.x, hi.y, hi.z),
        Vec3::new(lo.x, lo.y, hi.z),
        Vec3::new(hi.x, lo.y, lo.z),
        Vec3::new(hi.x, hi.y, lo.z),
    ];
    Surface {
        vertices: corners.to_vec(),
        faces: vec![
            [0, 2, 1],
            [0, 3, 2],
            [0, 1, 5],
            [0, 5, 4],
            [0, 4, 3],
            [1, 2, 5],
            [3, 4, 5],
            [3, 5, 2],
        ],
    }
}

/// Prism of a simple polygon in the y–z plane, drawn along x from `aft_m` to
/// `fore_m`. Volume = area × length. The polygon may be concave and may run
/// either way round.
#[must_use]
pub fn prism_along_x(outline_yz: &[[f64; 2]], aft_m: f64, fore_m: f64) -> Surface {
    let n = outline_yz.len();
    let double_area: f64 = (0..n)
        .map(|i| {
            let ([y0, z0], [y1, z1]) = (outline_yz[i], outline_yz[(i + 1) % n]);
            y0 * z1 - y1 * z0
        })
        .sum();
    let mut outline = outline_yz.to_vec();
    if double_area < 0.0 {
        outline.reverse();
    }
    let ring = |x: f64| outline.iter().map(move |&[y, z]| Vec3::new(x, y, z));
    let fore: Vec<Vec3> = ring(fore_m).collect();
    let (end, _) = triangulate_ring(&fore, |_, _| false);
    let vertices = ring(aft_m).chain(fore.iter().copied()).collect();
    let shift = id(n);
    let mut faces: Vec<[u32; 3]> = Vec::with_capacity(4 * n);
    faces.extend(end.iter().map(|f| f.map(|v| v + shift)));
    faces.extend(end.iter().map(|&[a, b, c]| [a, c, b]));
    for i in 0..shift {
        let j = (i + 1) % shift;
        faces.push([i, j, j + shift]);
        faces.push([i, j + shift, i + shift]);
    }
    Surface { vertices, faces }
}

/// The strip through rings of equally many points, each from one ring up to the next: outward
/// where the rings run counter-clockwise seen from the last. Of rings twisted against each
/// other every other one is cut along its other diagonal, so that what that adds and takes
/// away cancels out along the strip.
#[must_use]
pub fn strip_through(rings: &[&[Vec3]]) -> Surface {
    let count = rings.first().map_or(0, |ring| ring.len());
    let mut faces = Vec::with_capacity(2 * count * rings.len());
    for ring in 1..rings.len() {
        let (below, above) = ((ring - 1) * count, ring * count);
        for k in 0..count {
            let next = (k + 1) % count;
            let [a, b, c, d] = [below + k, below + next, above + k, above + next].map(id);
            faces.extend(match (rings.len() - ring).is_multiple_of(2) {
                true => [[a, b, c], [b, d, c]],
                false => [[a, b, d], [a, d, c]],
            });
        }
    }
    Surface {
        vertices: rings.concat(),
        faces,
    }
}

/// The strip between two lines of equally many points, from their first to their last.
#[must_use]
pub fn strip_along(below: &[Vec3], above: &[Vec3]) -> Surface {
    let count = below.len();
    let faces = (1..count).flat_map(|k| {
        let [a, b, c, d] = [k - 1, k, count + k - 1, count + k].map(id);
        [[a, b, d], [a, d, c]]
    });
    Surface {
        vertices: [below, above].concat(),
        faces: faces.collect(),
    }
}

/// The outward solid through such rings, its first and last closed alike, as the last lies.
/// Its last faces are those of the last ring: two fewer than that has points.
#[must_use]
pub fn solid_through(rings: &[&[Vec3]]) -> Surface {
    let mut solid = strip_through(rings);
    let Some(last) = rings.last() else {
        return solid;
    };
    let (end, _) = triangulate_ring(last, |_, _| false);
    let shift = id(solid.vertices.len() - last.len());
    solid.faces.extend(end.iter().map(|&[a, b, c]| [a, c, b]));
    solid
        .faces
        .extend(end.iter().map(|face| face.map(|v| v + shift)));
    if solid.signed_volume_m3() < 0.0 {
        solid.flip();
    }
    solid
}

/// Regular prism of `sides` sides inscribed in the cylinder about the line
/// from `from` to `to`. Volume `½ n sin(2π/n) r² h`, which tends to `π r² h`.
#[must_use]
pub fn cylinder(from: Vec3, to: Vec3, radius_m: f64, sides: usize) -> Surface {
    let height = (to - from).norm();
    let upright = revolve(
        &[
            [0.0, 0.0],
            [radius_m, 0.0],
            [radius_m, height],
            [0.0, height],
        ],
        sides,
    );
    stand_along(upright, from, to)
}

/// Regular pyramid of `sides` sides inscribed in the cone with the given base
/// centre and apex. Volume a third of the cylinder's.
#[must_use]
pub fn cone(base: Vec3, apex: Vec3, radius_m: f64, sides: usize) -> Surface {
    let height = (apex - base).norm();
    let upright = revolve(&[[0.0, 0.0], [radius_m, 0.0], [0.0, height]], sides);
    stand_along(upright, base, apex)
}

/// Sphere of meridians and parallels. Volume tends to `4/3 π r³`.
#[must_use]
pub fn uv_sphere(centre: Vec3, radius_m: f64, parallels: usize, meridians: usize) -> Surface {
    let rings = parallels.max(2);
    let profile: Vec<[f64; 2]> = (0..=rings)
        .map(|i| {
            let t = PI * i as f64 / rings as f64;
            [on_axis(radius_m * t.sin(), i, rings), -radius_m * t.cos()]
        })
        .collect();
    moved(revolve(&profile, meridians), centre)
}

/// Sphere from an icosahedron whose faces are quartered `level` times:
/// `20·4^level` nearly equal triangles.
#[must_use]
pub fn icosphere(centre: Vec3, radius_m: f64, level: u32) -> Surface {
    let golden = f64::midpoint(1.0, 5.0_f64.sqrt());
    let mut sphere = Surface {
        vertices: [
            [-1.0, golden, 0.0],
            [1.0, golden, 0.0],
            [-1.0, -golden, 0.0],
            [1.0, -golden, 0.0],
            [0.0, -1.0, golden],
            [0.0, 1.0, golden],
            [0.0, -1.0, -golden],
            [0.0, 1.0, -golden],
            [golden, 0.0, -1.0],
            [golden, 0.0, 1.0],
            [-golden, 0.0, -1.0],
            [-golden, 0.0, 1.0],
        ]
        .map(|v| Vec3::from(v).normalize())
        .to_vec(),
        faces: vec![
            [0, 11, 5],
            [0, 5, 1],
            [0, 1, 7],
            [0, 7, 10],
            [0, 10, 11],
            [1, 5, 9],
            [5, 11, 4],
            [11, 10, 2],
            [10, 7, 6],
            [7, 1, 8],
            [3, 9, 4],
            [3, 4, 2],
            [3, 2, 6],
            [3, 6, 8],
            [3, 8, 9],
            [4, 9, 5],
            [2, 4, 11],
            [6, 2, 10],
            [8, 6, 7],
            [9, 8, 1],
        ],
    };
    for _ in 0..level {
        let known = sphere.vertices.len();
        sphere = quartered(sphere);
        for v in &mut sphere.vertices[known..] {
            v.normalize_mut();
        }
    }
    for v in &mut sphere.vertices {
        *v = centre + *v * radius_m;
    }
    sphere
}

/// Each triangle cut into four at the middles of its edges, which neighbours
/// share. New vertices follow the old ones.
#[must_use]
pub fn quartered(mut surface: Surface) -> Surface {
    let mut middles: HashMap<(u32, u32), u32> = HashMap::new();
    let Surface { vertices, faces } = &mut surface;
    let mut middle = |a: u32, b: u32| {
        *middles.entry((a.min(b), a.max(b))).or_insert_with(|| {
            vertices.push((vertices[a as usize] + vertices[b as usize]) / 2.0);
            id(vertices.len() - 1)
        })
    };
    *faces = faces
        .iter()
        .flat_map(|&[a, b, c]| {
            let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
            [[a, ab, ca], [b, bc, ab], [c, ca, bc], [ab, bc, ca]]
        })
        .collect();
    surface
}

/// Lower half of the ellipsoid with half axes `a` (x), `b` (y), `c` (z),
/// closed by a flat top at z = 0. Volume tends to `⅔ π a b c`, its centroid
/// to `⅜ c` below the top.
#[must_use]
pub fn half_ellipsoid(half_axes_m: Vec3, parallels: usize, meridians: usize) -> Surface {
    let rings = parallels.max(1);
    let mut profile: Vec<[f64; 2]> = (0..=rings)
        .map(|i| {
            let t = PI / 2.0 * i as f64 / rings as f64;
            let depth = if i == rings { 0.0 } else { t.cos() };
            [if i == 0 { 0.0 } else { t.sin() }, -depth]
        })
        .collect();
    profile.push([0.0, 0.0]);
    let mut solid = revolve(&profile, meridians);
    for v in &mut solid.vertices {
        *v = v.component_mul(&half_axes_m);
    }
    solid
}

/// Paraboloid `r² = radius² · z/height` with its apex down at the origin,
/// closed by a flat top. Volume tends to `½ π r² h`, its centroid to `⅔ h`.
#[must_use]
pub fn paraboloid(radius_m: f64, height_m: f64, parallels: usize, meridians: usize) -> Surface {
    let rings = parallels.max(1);
    // Equal steps of radius keep the facets alike down to the apex.
    let mut profile: Vec<[f64; 2]> = (0..=rings)
        .map(|i| {
            let t = i as f64 / rings as f64;
            [radius_m * t, height_m * t * t]
        })
        .collect();
    profile.push([0.0, height_m]);
    revolve(&profile, meridians)
}

/// Wigley's parabolic hull `y = ± B/2 (1 − (2x/L)²)(1 − (z/T)²)`, `−T ≤ z ≤ 0`,
/// on `2n` stations by `n` levels, with straight sides up to `freeboard_m`
/// where that is over zero, closed by a flat deck.
///
/// Below z = 0 the volume tends to `4/9 L B T`, the centroid to `⅜ T` below
/// it, and the waterplane area there to `⅔ L B`; errors fall as `1/n²`. The
/// sides above add `⅔ L B` times the freeboard.
#[must_use]
pub fn wigley(
    length_m: f64,
    breadth_m: f64,
    draught_m: f64,
    n: usize,
    freeboard_m: f64,
) -> Surface {
    let n = n.max(1);
    let levels = if freeboard_m > 0.0 { n + 1 } else { n };
    let side_of = |[station, level, side]: [usize; 3]| {
        let xi = station as f64 / n as f64 - 1.0;
        let (zeta, z) = if level > n {
            (0.0, freeboard_m)
        } else {
            let zeta = level as f64 / n as f64 - 1.0;
            (zeta, zeta * draught_m)
        };
        let half = breadth_m / 2.0 * (1.0 - xi * xi) * (1.0 - zeta * zeta);
        let y = if side == 1 { half } else { -half };
        Vec3::new(xi * length_m / 2.0, y, z)
    };
    // Both sides meet on the centre plane along the keel and the two stems.
    let on_centre = |station: usize, level: usize| station == 0 || station == 2 * n || level == 0;
    let mut builder = LatticeBuilder::new(side_of);
    let point = |station, level, side| {
        let side = if on_centre(station, level) { 0 } else { side };
        [station, level, side]
    };
    for i in 0..2 * n {
        for j in 0..levels {
            let port = [(i, j), (i, j + 1), (i + 1, j + 1), (i + 1, j)];
            builder.quad(port.map(|(s, l)| point(s, l, 1)));
            let mut starboard = port;
            starboard.reverse();
            builder.quad(starboard.map(|(s, l)| point(s, l, 0)));
        }
        let deck = [(i, 0), (i + 1, 0), (i + 1, 1), (i, 1)];
        builder.quad(deck.map(|(s, side)| point(s, levels, side)));
    }
    builder.surface
}

/// Turns a profile `[radius, height]` about the z axis. Running up the
/// profile with the axis on the left, the solid lies on the axis side. A
/// radius of exactly zero is a point on the axis.
fn revolve(profile: &[[f64; 2]], meridians: usize) -> Surface {
    let meridians = meridians.max(3);
    let mut builder = LatticeBuilder::new(|[ring, meridian, _]: [usize; 3]| {
        let [radius, height] = profile[ring];
        let (sin, cos) = (TAU * meridian as f64 / meridians as f64).sin_cos();
        Vec3::new(radius * cos, radius * sin, height)
    });
    let point = |ring: usize, meridian: usize| {
        let on_axis = profile[ring][0] == 0.0;
        [ring, if on_axis { 0 } else { meridian % meridians }, 0]
    };
    for ring in 0..profile.len() - 1 {
        for m in 0..meridians {
            builder.quad([
                point(ring, m),
                point(ring, m + 1),
                point(ring + 1, m + 1),
                point(ring + 1, m),
            ]);
        }
    }
    builder.surface
}

fn on_axis(radius: f64, ring: usize, last: usize) -> f64 {
    if ring == 0 || ring == last {
        0.0
    } else {
        radius
    }
}

/// Carries a solid built upward from the origin onto the line `from`–`to`.
fn stand_along(mut solid: Surface, from: Vec3, to: Vec3) -> Surface {
    let axis = (to - from).normalize();
    let smallest = axis.iamin();
    let u = Vec3::ith(smallest, 1.0).cross(&axis).normalize();
    let v = axis.cross(&u);
    for p in &mut solid.vertices {
        *p = from + u * p.x + v * p.y + axis * p.z;
    }
    solid
}

fn moved(mut solid: Surface, by: Vec3) -> Surface {
    for v in &mut solid.vertices {
        *v += by;
    }
    solid
}

/// Builds a surface from quads of lattice points, one vertex a point.
struct LatticeBuilder<F> {
    place: F,
    known: HashMap<[usize; 3], u32>,
    surface: Surface,
}

impl<F: Fn([usize; 3]) -> Vec3> LatticeBuilder<F> {
    fn new(place: F) -> Self {
        Self {
            place,
            known: HashMap::new(),
            surface: Surface::default(),
        }
    }

    /// Adds a quad as two triangles, without those that have shrunk to an edge.
    fn quad(&mut self, corners: [[usize; 3]; 4]) {
        let [a, b, c, d] = corners.map(|lattice| {
            *self.known.entry(lattice).or_insert_with(|| {
                self.surface.vertices.push((self.place)(lattice));
                id(self.surface.vertices.len() - 1)
            })
        });
        for face in [[a, b, c], [a, c, d]] {
            if face[0] != face[1] && face[1] != face[2] && face[2] != face[0] {
                self.surface.faces.push(face);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::examine;

    fn check(name: &str, solid: &Surface, volume_m3: f64, tolerance: f64) {
        let examination = examine(solid);
        assert!(
            examination.defects.is_empty(),
            "{name}: {:?}",
            examination.defects
        );
        let used = solid.faces.iter().flatten().max().map(|v| *v as usize + 1);
        assert_eq!(used, Some(solid.vertices.len()), "{name}");
        let error = solid.signed_volume_m3() / volume_m3 - 1.0;
        assert!(error.abs() < tolerance, "{name}: off by {error:e}");
    }

    /// Flat-sided solids are exact but for rounding; curved ones are
    /// inscribed, so their error is about `(2π/n)²/6` for n meridians.
    #[test]
    fn every_solid_is_watertight_outward_and_of_the_volume_it_says() {
        let v = Vec3::new;
        let exact = 1e-12;
        check(
            "box",
            &cuboid(v(-1.0, 2.0, 3.0), v(3.0, 3.0, 3.5)),
            2.0,
            exact,
        );
        check(
            "subdivided box",
            &cuboid_subdivided(v(0.0, 0.0, 0.0), v(3.0, 2.0, 1.0), [5, 3, 2]),
            6.0,
            exact,
        );
        check(
            "wedge",
            &wedge(v(0.0, 0.0, 0.0), v(4.0, 1.0, 0.5)),
            1.0,
            exact,
        );
        // An L of three unit squares, drawn clockwise; with a point on a side.
        let l = [
            [0.0, 0.0],
            [0.0, 2.0],
            [1.0, 2.0],
            [1.0, 1.0],
            [2.0, 1.0],
            [2.0, 0.5],
            [2.0, 0.0],
        ];
        check("concave prism", &prism_along_x(&l, -0.5, 1.5), 6.0, exact);
        let n = 48.0_f64;
        let circle = n / 2.0 * (TAU / n).sin();
        let (a, b) = (v(1.0, 1.0, 1.0), v(3.0, 2.0, 3.0));
        check(
            "cylinder",
            &cylinder(a, b, 0.5, 48),
            circle * 0.25 * 3.0,
            exact,
        );
        check("cone", &cone(a, b, 0.5, 48), circle * 0.25, exact);
        let within = 0.005;
        check("sphere", &uv_sphere(a, 1.0, 40, 80), 4.0 / 3.0 * PI, within);
        check("icosphere", &icosphere(a, 1.0, 4), 4.0 / 3.0 * PI, within);
        check(
            "half ellipsoid",
            &half_ellipsoid(v(2.0, 0.5, 0.4), 40, 80),
            0.837_758_040_957,
            within,
        );
        check(
            "paraboloid",
            &paraboloid(0.7, 1.2, 40, 80),
            PI / 2.0 * 0.49 * 1.2,
            within,
        );
        check(
            "Wigley",
            &wigley(4.0, 1.0, 0.25, 30, 0.0),
            4.0 / 9.0,
            within,
        );
        check(
            "Wigley with freeboard",
            &wigley(4.0, 1.0, 0.25, 30, 0.3),
            4.0 / 9.0 + 0.8,
            within,
        );
    }

    /// Halving the facets quarters the error, up to higher-order terms.
    #[test]
    fn the_wigley_hull_converges_with_the_square_of_the_mesh() {
        let error = |n| 4.0 / 9.0 - wigley(4.0, 1.0, 0.25, n, 0.0).signed_volume_m3();
        let ratio = error(20) / error(40);
        assert!((ratio - 4.0).abs() < 0.05, "{ratio}");
    }
}

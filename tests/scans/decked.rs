//! A decked hull made by code, and scans of it. What is true of it is known by
//! construction: the outer skin, the rims and the frame. Invented data.
use std::collections::{HashMap, HashSet};
use std::f64::consts::TAU;

use awash::mesh::Surface;
use awash::numerics::Vec3;

use super::make::Random;

/// A hull's form: length over all, half breadth and heights amidships under and over its
/// widest place, rise of the ends, how much the sides lean in over it, and how blunt its
/// sections are (1 is an ellipse, less is fuller); m.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Form {
    pub(crate) length: f64,
    pub(crate) half_breadth: f64,
    pub(crate) down: f64,
    pub(crate) over: f64,
    pub(crate) rocker: f64,
    pub(crate) tumblehome: f64,
    pub(crate) blunt: f64,
}

/// The hull of most tests.
pub(crate) const FORM: Form = Form {
    length: 3.6,
    half_breadth: 0.36,
    down: 0.15,
    over: 0.19,
    rocker: 0.06,
    tumblehome: 0.12,
    blunt: 0.8,
};

/// Points of a section before it is divided evenly.
const DENSE: usize = 400;

/// An opening in the deck: an ellipse in plan, with the height of its lip.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hole {
    pub(crate) x: f64,
    pub(crate) half_long: f64,
    pub(crate) half_broad: f64,
    pub(crate) lip: f64,
}

impl Hole {
    /// Below zero inside, about the distance from its edge in plan, m.
    fn off(&self, p: &Vec3) -> f64 {
        let (u, v) = ((p.x - self.x) / self.half_long, p.y / self.half_broad);
        let slope = (u / self.half_long).hypot(v / self.half_broad);
        if slope == 0.0 {
            return -self.half_broad;
        }
        (u * u + v * v - 1.0) / (2.0 * slope)
    }
}

/// A cockpit with a lip, a well without, a hatch with a low one.
pub(crate) const HOLES: [Hole; 3] = [
    Hole {
        x: 1.65,
        half_long: 0.45,
        half_broad: 0.22,
        lip: 0.025,
    },
    Hole {
        x: 0.7,
        half_long: 0.16,
        half_broad: 0.12,
        lip: 0.0,
    },
    Hole {
        x: 2.7,
        half_long: 0.11,
        half_broad: 0.09,
        lip: 0.012,
    },
];
/// Width of a lip's foot, m.
const LIP_WIDTH_M: f64 = 0.03;

/// The true hull: outer skin, open at its rims, and the rims' points.
#[derive(Debug, Clone)]
pub(crate) struct Decked {
    pub(crate) outer: Surface,
    pub(crate) rims: Vec<Vec<Vec3>>,
}

fn section(form: &Form, t: f64, points: usize) -> Vec<Vec3> {
    // Finer forward, rocker at both ends, tumblehome over the widest place.
    let full = (1.0 - t.powi(4)).max(0.0).sqrt();
    let half = form.half_breadth * (1.0 - t * t).max(0.0).powf(0.7) * (1.0 - 0.2 * t);
    let middle = form.down + 0.02 + form.rocker * t * t;
    let x = form.length * (t + 1.0) / 2.0;
    let dense: Vec<Vec3> = (0..=DENSE)
        .map(|i| {
            let (sin, cos) = (TAU * i as f64 / DENSE as f64).sin_cos();
            let blunt = |v: f64, power: f64| v.signum() * v.abs().powf(power);
            let high = blunt(sin, form.blunt);
            let z = middle + full * high * if sin < 0.0 { form.down } else { form.over };
            let in_over = 1.0 - form.tumblehome * high.max(0.0);
            Vec3::new(x, half * blunt(cos, 0.7) * in_over, z)
        })
        .collect();
    let mut along = vec![0.0];
    for pair in dense.windows(2) {
        along.push(along[along.len() - 1] + (pair[1] - pair[0]).norm());
    }
    let whole = along[DENSE];
    (0..points)
        .map(|k| {
            let wanted = whole * k as f64 / points as f64;
            let i = along.partition_point(|a| *a <= wanted).clamp(1, DENSE);
            let share = (wanted - along[i - 1]) / (along[i] - along[i - 1]);
            dense[i - 1] + (dense[i] - dense[i - 1]) * share
        })
        .collect()
}

/// The hull with edges of about this length, m.
pub(crate) fn decked(edge_m: f64, holes: &[Hole]) -> Decked {
    formed(&FORM, edge_m, holes)
}

/// A hull of another form.
pub(crate) fn formed(form: &Form, edge_m: f64, holes: &[Hole]) -> Decked {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "small"
    )]
    let count = |length: f64| (length / edge_m).ceil() as usize;
    let (stations, around) = (count(form.length), count(1.75));
    let mut surface = Surface::default();
    for s in 0..stations {
        let share = (s as f64 + 0.5) / stations as f64;
        let ring = section(form, 2.0 * share - 1.0, around);
        surface.vertices.extend(ring);
    }
    let number = |s: usize, i: usize| u32::try_from(s * around + i % around).expect("few");
    for s in 1..stations {
        for i in 0..around {
            let [a, b] = [number(s - 1, i), number(s - 1, i + 1)];
            let [c, d] = [number(s, i), number(s, i + 1)];
            // Diagonals both ways, so that the mesh leans to no side.
            if (s + i) % 2 == 0 {
                surface.faces.extend([[a, b, c], [b, d, c]]);
            } else {
                surface.faces.extend([[a, b, d], [a, d, c]]);
            }
        }
    }
    for (s, forward) in [(0, false), (stations - 1, true)] {
        let ring: Vec<Vec3> = (0..around)
            .map(|i| surface.vertices[number(s, i) as usize])
            .collect();
        let pole = u32::try_from(surface.vertices.len()).expect("few");
        surface
            .vertices
            .push(ring.iter().sum::<Vec3>() / around as f64);
        for i in 0..around {
            let (a, b) = (number(s, i), number(s, i + 1));
            surface
                .faces
                .push(if forward { [a, b, pole] } else { [b, a, pole] });
        }
    }
    if surface.signed_volume_m3() < 0.0 {
        surface.flip();
    }
    for hole in holes {
        cut(&mut surface, hole, form.down + 0.02);
    }
    surface.drop_unused_vertices();
    let rims = loops(&surface);
    Decked {
        outer: surface,
        rims,
    }
}

/// Cuts one opening: edges that cross its outline have an end drawn onto it.
fn cut(surface: &mut Surface, hole: &Hole, widest_m: f64) {
    let mut off: Vec<f64> = surface
        .vertices
        .iter()
        .map(|v| {
            if v.z > widest_m {
                hole.off(v)
            } else {
                f64::INFINITY
            }
        })
        .collect();
    let mut drawn: HashMap<u32, (f64, Vec3)> = HashMap::new();
    for face in &surface.faces {
        for k in 0..3 {
            let (a, b) = (face[k], face[(k + 1) % 3]);
            let (here, there) = (off[a as usize], off[b as usize]);
            if here < 0.0 && there > 0.0 && there.is_finite() {
                let (p, q) = (surface.vertices[a as usize], surface.vertices[b as usize]);
                let share = here / (here - there);
                let place = p + (q - p) * share;
                let (v, far) = if share < 0.5 {
                    (a, share)
                } else {
                    (b, 1.0 - share)
                };
                let slot = drawn.entry(v).or_insert((far, place));
                if far < slot.0 {
                    *slot = (far, place);
                }
            }
        }
    }
    for (v, (_, place)) in drawn {
        surface.vertices[v as usize] = place;
        off[v as usize] = 0.0;
    }
    surface.faces.retain(|face| {
        let offs = face.map(|v| off[v as usize]);
        offs.iter().any(|o| *o > 0.0)
    });
    for (v, off) in surface.vertices.iter_mut().zip(&off) {
        if (0.0..LIP_WIDTH_M).contains(off) {
            let near = 1.0 - off / LIP_WIDTH_M;
            v.z += hole.lip * near * near * (3.0 - 2.0 * near);
        }
    }
}

/// Open edges as closed rows of points, the longest first.
pub(crate) fn loops(surface: &Surface) -> Vec<Vec<Vec3>> {
    let mut next: HashMap<u32, u32> = open_sides(surface).into_iter().collect();
    let mut loops = Vec::new();
    while let Some(start) = next.keys().min().copied() {
        let mut ring = Vec::new();
        let mut v = start;
        while let Some(to) = next.remove(&v) {
            ring.push(surface.vertices[v as usize]);
            v = to;
        }
        loops.push(ring);
    }
    loops.sort_by_key(|ring| std::cmp::Reverse(ring.len()));
    loops
}

pub(crate) fn open_sides(surface: &Surface) -> Vec<(u32, u32)> {
    let mut sides: HashSet<(u32, u32)> = HashSet::new();
    for &[a, b, c] in &surface.faces {
        sides.extend([(a, b), (b, c), (c, a)]);
    }
    let mut open: Vec<(u32, u32)> = sides
        .iter()
        .filter(|(a, b)| !sides.contains(&(*b, *a)))
        .copied()
        .collect();
    open.sort_unstable();
    open
}

fn vertex_normals(surface: &Surface) -> Vec<Vec3> {
    let mut normals = vec![Vec3::zeros(); surface.vertices.len()];
    for (face, corners) in surface.faces.iter().enumerate() {
        for v in corners {
            normals[*v as usize] += surface.face_normal(face);
        }
    }
    normals
        .iter()
        .map(|n| n.try_normalize(0.0).unwrap_or_default())
        .collect()
}

/// Both sides of the skin; of the inner one only what lies within `seen_m` of an
/// opening's middle.
pub(crate) fn two_skins(hull: &Decked, thickness_m: f64, seen_m: f64) -> Surface {
    let outer = &hull.outer;
    let normals = vertex_normals(outer);
    let count = u32::try_from(outer.vertices.len()).expect("few");
    let mut both = outer.clone();
    let inner = outer.vertices.iter().zip(&normals);
    both.vertices
        .extend(inner.map(|(v, n)| v - n * thickness_m));
    let middles: Vec<Vec3> = hull
        .rims
        .iter()
        .map(|rim| rim.iter().sum::<Vec3>() / rim.len() as f64)
        .collect();
    let seen = |face: &[u32; 3]| {
        let p = outer.vertices[face[0] as usize];
        middles.iter().any(|m| (m - p).norm() < seen_m)
    };
    let inner: Vec<[u32; 3]> = outer
        .faces
        .iter()
        .filter(|face| seen(face))
        .map(|&[a, b, c]| [a, c, b].map(|v| v + count))
        .collect();
    both.faces.extend(inner);
    for (a, b) in open_sides(outer) {
        both.faces.push([b, a, a + count]);
        both.faces.push([b, a + count, b + count]);
    }
    both.drop_unused_vertices();
    both
}

/// Noise of the given standard deviation along the normal, half of its square white
/// and half in waves some 80 mm long.
pub(crate) fn rough(surface: Surface, deviation_m: f64, random: &mut Random) -> Surface {
    rough_in(surface, deviation_m, 0.5, random)
}

/// The same with a share of its square white.
pub(crate) fn rough_in(
    mut surface: Surface,
    deviation_m: f64,
    white: f64,
    random: &mut Random,
) -> Surface {
    const WAVES: usize = 60;
    const WAVE_M: f64 = 0.08;
    let [white, waved] = [white, 1.0 - white].map(|part| deviation_m * part.sqrt());
    let waves: Vec<(Vec3, f64)> = (0..WAVES)
        .map(|_| {
            let d = Vec3::new(random.normal(1.0), random.normal(1.0), random.normal(1.0));
            (d.normalize() * (TAU / WAVE_M), TAU * random.share())
        })
        .collect();
    let high = waved * (2.0 / WAVES as f64).sqrt();
    let normals = vertex_normals(&surface);
    for (v, n) in surface.vertices.iter_mut().zip(&normals) {
        // The sides of a skin have waves of their own.
        let at = *v + n * 0.5;
        let wave: f64 = waves
            .iter()
            .map(|(k, phase)| (k.dot(&at) + phase).sin())
            .sum();
        let scattered = Vec3::new(
            random.normal(white),
            random.normal(white),
            random.normal(white),
        );
        *v += n * (high * wave) + scattered;
    }
    surface
}

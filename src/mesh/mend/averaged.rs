//! The area of a rough skin without its roughness, which is a scan's and no boat's.
use super::super::doubt::id;
use super::super::surface::Surface;
use super::super::symmetry::quantile;
use super::super::topology::{IGNORED, Topology, ends};
use super::bench::Bench;
use crate::numerics::Vec3;

/// A skin is rough where this share of its edges bend inward and as many outward, by this
/// angle at least (sine): a smooth hull bends outward nearly everywhere.
const BOTH_WAYS_SHARE: f64 = 0.15;
const BEND: f64 = 0.03;
/// Rounds of averaging. Each draws a corner half of the way to the middle of its neighbours
/// and back again by slightly more, so that what is longer than some ten edges stays and
/// nothing shrinks (G. Taubin, "A signal processing approach to fair surface design",
/// SIGGRAPH 95; its λ and μ).
const ROUNDS: usize = 40;
const DRAWN: f64 = 0.5;
const BACK: f64 = -0.53;
/// Rounds that show what differs from corner to corner; and rounds of drawing without drawing
/// back, which round off edges but nowhere swing past the skin.
const FEW_ROUNDS: usize = 15;
const DRAWN_ROUNDS: usize = 6;
/// Of normal noise this share lies within a deviation.
pub(super) const WITHIN_DEVIATION: f64 = 0.6827;

impl Bench<'_> {
    /// The share of a mended surface's area that its averaged skin has, told where that is
    /// rough.
    pub(super) fn measure_skin(&mut self, surface: &Surface) -> Option<f64> {
        (self.say)("measuring the averaged skin");
        let share = area_share(surface)?;
        self.log(
            "area",
            format!(
                "the scan's roughness makes its area {:.1} % larger than its averaged skin's, {:.3} m²: a hull weighed by `skin` needs `area_share = {share:.3}`",
                100.0 * (1.0 / share - 1.0),
                share * surface.area_m2()
            ),
        );
        Some(share)
    }
}

/// The share of a surface's area that its averaged skin has; `None` where it is not rough.
///
/// Good to 1 % of the area for noise of 2 mm on edges of 10 mm and more; waves longer than
/// some ten edges stay, and corners of a coarse mesh lose a little.
fn area_share(surface: &Surface) -> Option<f64> {
    let topology = Topology::of(surface);
    if !is_rough(surface, &topology) {
        return None;
    }
    let averaged = Surface {
        vertices: Neighbours::of(surface, &topology).averaged(&surface.vertices, ROUNDS),
        faces: surface.faces.clone(),
    };
    let share = averaged.area_m2() / surface.area_m2();
    (share > 0.0 && share < 1.0).then_some(share)
}

/// A surface's corners drawn to the middle of those round them, by which they can be told
/// apart whatever their own noise; and how far its own lie off its averaged skin, across it,
/// as a standard deviation, m: the part of a scan's noise that differs from corner to corner.
/// The corners as they are, and zero, where it is not rough.
pub(super) fn averaged(surface: &Surface) -> (Vec<Vec3>, f64) {
    let topology = Topology::of(surface);
    if !is_rough(surface, &topology) {
        return (surface.vertices.clone(), 0.0);
    }
    let near = Neighbours::of(surface, &topology);
    let averaged = near.averaged(&surface.vertices, FEW_ROUNDS);
    let mut normals = vec![Vec3::zeros(); averaged.len()];
    for face in &surface.faces {
        let [a, b, c] = face.map(|v| averaged[v as usize]);
        for v in face {
            normals[*v as usize] += (b - a).cross(&(c - a));
        }
    }
    let corners = surface.vertices.iter().zip(&averaged).zip(&normals);
    let off = corners.filter_map(|((own, middle), normal)| {
        let normal = normal.try_normalize(0.0)?;
        Some(normal.dot(&(own - middle)).abs())
    });
    let deviation_m = quantile(off.collect(), WITHIN_DEVIATION);
    let mut drawn = surface.vertices.clone();
    for _ in 0..DRAWN_ROUNDS {
        drawn = near.drawn(&drawn, DRAWN);
    }
    (drawn, deviation_m)
}

/// How rough a skin is from corner to corner, as a standard deviation, m; zero where it is
/// smooth.
#[must_use]
pub fn skin_noise_m(surface: &Surface) -> f64 {
    averaged(surface).1
}

fn is_rough(surface: &Surface, topology: &Topology) -> bool {
    let (mut edges, mut bends) = (0.0, [0.0_f64; 2]);
    for (h, mate) in topology.mate.iter().enumerate() {
        let other = *mate as usize;
        if *mate >= IGNORED || h > other {
            continue;
        }
        edges += 1.0;
        let [own, beyond] = [h / 3, other / 3].map(|face| surface.face_normal(face));
        let apex = surface.faces[other / 3][(other % 3 + 2) % 3];
        let from = surface.corners(h / 3)[h % 3];
        let sine = own.cross(&beyond).norm();
        if sine > BEND * own.norm() * beyond.norm() {
            let over = own.dot(&(surface.vertices[apex as usize] - from)) > 0.0;
            bends[usize::from(over)] += 1.0;
        }
    }
    bends[0].min(bends[1]) > BOTH_WAYS_SHARE * edges
}

/// The neighbours of each corner; of one on an open edge, those along that edge.
struct Neighbours {
    start: Vec<u32>,
    of: Vec<u32>,
}

impl Neighbours {
    fn of(surface: &Surface, topology: &Topology) -> Self {
        let count = surface.vertices.len();
        let at_edge = topology.at_edge(surface);
        let mut pairs: Vec<(u32, u32)> = Vec::with_capacity(topology.mate.len());
        for (h, mate) in topology.mate.iter().enumerate() {
            let is_edge = *mate >= IGNORED;
            if !is_edge && h > *mate as usize {
                continue;
            }
            let (a, b) = ends(&surface.faces, id(h));
            for (v, other) in [(a, b), (b, a)] {
                if is_edge || !at_edge[v as usize] {
                    pairs.push((v, other));
                }
            }
        }
        pairs.sort_unstable();
        let mut start = vec![0_u32; count + 1];
        for (v, _) in &pairs {
            start[*v as usize + 1] += 1;
        }
        for v in 0..count {
            start[v + 1] += start[v];
        }
        Self {
            start,
            of: pairs.into_iter().map(|(_, other)| other).collect(),
        }
    }

    /// The corners after so many rounds.
    fn averaged(&self, corners: &[Vec3], rounds: usize) -> Vec<Vec3> {
        let mut places = corners.to_vec();
        for _ in 0..rounds {
            for share in [DRAWN, BACK] {
                places = self.drawn(&places, share);
            }
        }
        places
    }

    /// Each corner drawn by a share of the way to the middle of its neighbours.
    fn drawn(&self, places: &[Vec3], share: f64) -> Vec<Vec3> {
        let corners = places.iter().enumerate();
        let moved = corners.map(|(v, place)| {
            let near = &self.of[self.start[v] as usize..self.start[v + 1] as usize];
            if near.is_empty() {
                return *place;
            }
            let middle = near
                .iter()
                .map(|other| places[*other as usize])
                .sum::<Vec3>();
            place + (middle / near.len() as f64 - place) * share
        });
        moved.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    fn rough(mut surface: Surface, deviation_m: f64, seed: u64) -> Surface {
        let mut random = fastrand::Rng::with_seed(seed);
        let mut normal = || (0..12).map(|_| random.f64()).sum::<f64>() - 6.0;
        for v in &mut surface.vertices {
            *v += Vec3::new(normal(), normal(), normal()) * deviation_m;
        }
        surface
    }

    /// A ball of radius r has 4πr², a box of sides a, b, c has 2(ab + bc + ca): textbook.
    #[test]
    fn a_rough_ball_and_a_rough_box_have_the_area_that_they_have_smooth() {
        // Edges of the ball: some 9 and 18 mm.
        for (rounds, noise_m) in [(6, 0.0008), (6, 0.002), (5, 0.002), (5, 0.0008)] {
            let ball = solids::icosphere(Vec3::zeros(), 0.5, rounds);
            let known = 4.0 * std::f64::consts::PI * 0.25;
            let scan = rough(ball, noise_m, 7);
            let too_much = scan.area_m2() / known - 1.0;
            let share = area_share(&scan).expect("rough");
            let off = share * scan.area_m2() / known - 1.0;
            eprintln!("ball {rounds} {noise_m}: {too_much:+.4} {off:+.4}");
            assert!(off.abs() < 0.01, "{off} of {too_much}");
        }
        let mut cuboid = solids::cuboid(Vec3::zeros(), Vec3::new(1.6, 0.8, 0.4));
        for _ in 0..7 {
            cuboid = solids::quartered(cuboid);
        }
        let known = 2.0 * (1.6 * 0.8 + 0.8 * 0.4 + 0.4 * 1.6);
        let scan = rough(cuboid, 0.002, 8);
        let too_much = scan.area_m2() / known - 1.0;
        let off = area_share(&scan).expect("rough") * scan.area_m2() / known - 1.0;
        eprintln!("box: {too_much:+.4} {off:+.4}");
        assert!(too_much > 0.03, "{too_much}");
        assert!(off.abs() < 0.01, "{off} of {too_much}");
    }

    #[test]
    fn what_is_not_rough_keeps_its_area() {
        for smooth in [
            solids::icosphere(Vec3::zeros(), 0.5, 5),
            solids::cuboid(Vec3::zeros(), Vec3::new(1.6, 0.8, 0.4)),
        ] {
            assert_eq!(area_share(&smooth), None);
        }
    }
}

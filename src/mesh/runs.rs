//! Which faces of a surface may lie at a place: the reach of runs of faces.
use rayon::prelude::*;

use super::face_tree::nearest_on_triangle;
use super::surface::Surface;
use crate::numerics::Vec3;

/// Faces in the shortest runs.
const RUN: usize = 16;
/// Runs in each longer run.
const RUNS: usize = 8;

/// The nearest face is first looked for within this share of the distance of the farthest
/// corner of the box, then within so many times that.
const FIRST_LOOK: f64 = 0.002;
const NEXT_LOOK: f64 = 4.0;

/// Least and greatest coordinates, m.
pub type Reach = [Vec3; 2];

/// How far each run of a surface's faces reaches. Faces that follow each other in a mesh
/// lie near each other, in all directions or along one, so that runs of several lengths
/// find those at a place fast.
#[derive(Debug, Clone, Default)]
pub struct FaceRuns {
    faces: usize,
    /// The reach of each run of faces, then of each [`RUNS`] of those, and so on to a few.
    levels: Vec<Vec<Reach>>,
}

fn joined(reaches: impl Iterator<Item = Reach>) -> Reach {
    let nothing = [Vec3::repeat(f64::INFINITY), Vec3::repeat(f64::NEG_INFINITY)];
    reaches.fold(nothing, |[lo, hi], [l, h]| [lo.inf(&l), hi.sup(&h)])
}

impl FaceRuns {
    /// Looks at every face once.
    #[must_use]
    pub fn of(surface: &Surface) -> Self {
        let of_run = |faces: &[[u32; 3]]| {
            let corners = faces.iter().flatten();
            joined(corners.map(|v| [surface.vertices[*v as usize]; 2]))
        };
        let runs = surface.faces.par_chunks(RUN).map(of_run).collect();
        let mut levels: Vec<Vec<Reach>> = vec![runs];
        while let Some(last) = levels.last().filter(|last| last.len() > RUNS) {
            let longer = last.chunks(RUNS).map(|runs| joined(runs.iter().copied()));
            levels.push(longer.collect());
        }
        Self {
            faces: surface.faces.len(),
            levels,
        }
    }

    /// Of how many lengths the runs are.
    #[cfg(test)]
    pub(super) fn depth(&self) -> usize {
        self.levels.len()
    }

    /// The faces of all runs whose reach `may_meet` the place asked about, in order. It
    /// must hold of a reach where it holds of any within that.
    pub fn faces(&self, may_meet: impl Fn(&Reach) -> bool) -> impl Iterator<Item = usize> {
        let mut levels = self.levels.iter().rev();
        let coarsest = levels.next().map_or(&[][..], Vec::as_slice);
        let mut runs: Vec<usize> = (0..coarsest.len())
            .filter(|run| may_meet(&coarsest[*run]))
            .collect();
        for level in levels {
            runs = runs
                .into_iter()
                .flat_map(|run| (run * RUNS..(run + 1) * RUNS).take_while(|n| *n < level.len()))
                .filter(|run| may_meet(&level[*run]))
                .collect();
        }
        let count = self.faces;
        runs.into_iter()
            .flat_map(move |run| run * RUN..((run + 1) * RUN).min(count))
    }

    /// Distance of a place from the surface that these are the runs of, m; infinite from
    /// one without faces.
    #[must_use]
    pub fn distance_m(&self, surface: &Surface, place: &Vec3) -> f64 {
        let Some([lo, hi]) = self.whole() else {
            return f64::INFINITY;
        };
        let far_m = (hi - place).abs().sup(&(place - lo).abs()).norm();
        let mut within_m = FIRST_LOOK * far_m;
        loop {
            let reaches = |[lo, hi]: &Reach| {
                let off = (lo - place).sup(&(place - hi)).sup(&Vec3::zeros());
                off.norm() <= within_m
            };
            let distance =
                |face: usize| (nearest_on_triangle(place, &surface.corners(face)) - place).norm();
            let distances = self.faces(reaches).map(distance);
            let nearest_m = distances.fold(f64::INFINITY, f64::min);
            if nearest_m <= within_m || within_m > far_m {
                return nearest_m;
            }
            within_m *= NEXT_LOOK;
        }
    }

    /// The reach of all faces together.
    fn whole(&self) -> Option<Reach> {
        let last = self.levels.last().filter(|_| self.faces > 0)?;
        Some(joined(last.iter().copied()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::{NearSurface, solids};

    #[test]
    fn distances_are_those_of_the_nearest_face() {
        let mut ball = solids::icosphere(Vec3::new(0.1, 0.2, 0.3), 1.0, 3);
        ball.append(&solids::cuboid(Vec3::repeat(3.0), Vec3::repeat(4.0)));
        let (runs, near) = (FaceRuns::of(&ball), NearSurface::of(&ball));
        let mut random = fastrand::Rng::with_seed(2);
        for _ in 0..50 {
            let place = Vec3::from_fn(|_, _| 8.0 * random.f64() - 2.0);
            let off = runs.distance_m(&ball, &place) - near.distance_m(&place);
            assert!(off.abs() < 1e-12, "{place}");
        }
        let none = Surface::default();
        let nothing = FaceRuns::of(&none).distance_m(&none, &Vec3::x());
        assert_eq!(nothing, f64::INFINITY);
    }
}

//! Holes one at a time: smoothed as rims, filled, or kept.
use super::super::cap::{ring_area, triangulate_ring};
use super::super::check::Loop;
use super::super::doubt::at;
use super::super::hole::{HoleKind, tell_holes};
use super::super::prepare::PrepareOptions;
use super::super::raw::FacetNumbers;
use super::super::ring::round_m;
use super::super::survey::Survey;
use super::super::topology::Topology;
use super::bench::Bench;
use super::floor::Floor;
use super::unseen::Unseen;
use super::{MendError, MendRecipe, film, rim};
use crate::numerics::Vec3;

/// Holes longer round than this are filled fair, smaller ones straight across, m.
const FAIR_OVER_M: f64 = 0.15;

/// In its middle a film may be off by so many times its mean height's error, as a plate held
/// at its edge is.
const SAGS: f64 = 3.0;

/// Of what a film may hold more or less, so much is taken to lie on one side of it.
const ONE_SIDED: f64 = 0.5;

impl Bench<'_> {
    /// Whether a hole is what a floor hid of the bottom.
    pub(super) fn is_left_by_floor(&self, hole: &Loop) -> bool {
        let place = |v: &u32| self.surface.vertices[*v as usize];
        let edge = hole.vertices.iter().map(place);
        self.floor_now()
            .is_some_and(|floor| floor.left(hole.length_m, edge))
    }

    /// The floor, as all lies now.
    pub(super) fn floor_now(&self) -> Option<Floor> {
        self.floor.map(|floor| floor.moved(&self.moved))
    }

    /// The holes at this step, the longest first.
    pub(super) fn holes(&self) -> Vec<Loop> {
        let topology = Topology::of(&self.surface);
        let survey = Survey::of(&self.surface, &topology, &FacetNumbers::default());
        let mut holes = survey.examination.loops;
        holes.sort_by(|a, b| b.length_m.total_cmp(&a.length_m));
        holes
    }

    /// Draws the rough edges of openings onto smooth curves.
    pub(super) fn smooth_rims(&mut self, is_upright: bool) {
        (self.say)("smoothing the rims");
        let bounds = self.surface.bounds().unwrap_or_default();
        let floor = self.floor_now();
        // What the floor hid and what the scan lacks has no rim.
        let is_rim = |rim: &rim::Rim| {
            let points = &rim.points;
            let edge = points.iter().copied();
            let by_floor = floor.is_some_and(|floor| floor.left(round_m(points), edge));
            let holes = tell_holes(std::slice::from_ref(points), bounds);
            !(by_floor || is_upright && holes[0].probably == HoleKind::ScanHole)
        };
        let fitted = rim::smooth_edges(&mut self.surface, is_rim);
        let done = match fitted.first() {
            None => "no edge was rough enough to be drawn onto a curve".to_owned(),
            Some(_) => format!(
                "{} rims were drawn onto smooth curves; their edges lay within {:.1} mm of these at two places of three",
                fitted.len(),
                1e3 * fitted.iter().map(|rim| rim.scatter_m).fold(0.0, f64::max)
            ),
        };
        // The roughest speaks for all: the scatter of a short one is itself unsure.
        let error_m = fitted.iter().map(rim::Rim::error_m).fold(0.0, f64::max);
        for rim in fitted {
            let middle = self.moved.back(&rim.middle_m());
            self.rims.push((middle, error_m / self.moved.scale));
        }
        self.log("smooth rims", done);
    }

    /// Fills the holes that a recipe numbers and those that a floor left, as
    /// fair as the skin round them.
    ///
    /// They are numbered as their middles are given.
    pub(super) fn fill_numbered(
        &mut self,
        recipe: &MendRecipe,
        numbered: &[Vec3],
    ) -> Result<(), MendError> {
        if recipe.fill.is_empty() && recipe.keep.is_empty() && self.floor.is_none() {
            return Ok(());
        }
        (self.say)("filling");
        let mut holes = self.holes();
        if holes.len() == numbered.len() {
            let number = |hole: &Loop| {
                let off = |k: &usize| (numbered[*k] - hole.centre).norm();
                (0..numbered.len()).min_by(|a, b| off(a).total_cmp(&off(b)))
            };
            holes.sort_by_key(number);
        }
        let wanted = recipe.fill.iter().chain(&recipe.keep);
        if let Some(&number) = wanted.into_iter().find(|n| !(1..=holes.len()).contains(*n)) {
            return Err(MendError::NoSuchHole {
                number,
                holes: holes.len(),
            });
        }
        let under_m = recipe
            .fill_under_m
            .unwrap_or(PrepareOptions::default().fill_under_m);
        for (number, hole) in (1..).zip(&holes) {
            let by_floor = self.is_left_by_floor(hole);
            let is_small = !recipe.keep.is_empty() && hole.length_m < under_m;
            if recipe.keep.contains(&number)
                || !(recipe.fill.contains(&number) || is_small || by_floor)
            {
                continue;
            }
            let floor = self.floor_now().filter(|_| by_floor);
            let how = self.fill_hole(hole, floor.as_ref());
            if !is_small {
                let why = if by_floor {
                    "which the floor hid, "
                } else {
                    ""
                };
                self.log(
                    "fill",
                    format!(
                        "hole {number}, {:.3} m round at {}, {why}was filled {how}",
                        hole.length_m,
                        at(&hole.centre)
                    ),
                );
            }
        }
        Ok(())
    }

    /// Fills one hole, which a floor hid where one is given, and tells how.
    pub(super) fn fill_hole(&mut self, hole: &Loop, floor: Option<&Floor>) -> String {
        let fair = (hole.length_m > FAIR_OVER_M)
            .then(|| film::fair(&self.surface, &hole.vertices, floor))
            .flatten();
        if let Some(film) = fair {
            let plane = hole.centre;
            let points: Vec<Vec3> = hole
                .vertices
                .iter()
                .map(|v| self.surface.vertices[*v as usize])
                .collect();
            let out = ring_area(&points).try_normalize(0.0).unwrap_or_default();
            let highest = film
                .inner
                .iter()
                .map(|p| (p - plane).dot(&out).abs())
                .fold(0.0, f64::max);
            let lowest = film.inner.iter().min_by(|a, b| a.z.total_cmp(&b.z));
            let lowest = lowest.map(|place| {
                let error_m = SAGS * film.volume_error_m3 / hole.area_m2;
                (self.moved.back(place), error_m / self.moved.scale)
            });
            let inner = film.inner.len().max(1) as f64;
            let middle_m = film.inner.iter().map(|p| p.y).sum::<f64>() / inner;
            let squares = film.inner.iter().map(|p| (p.y - middle_m).powi(2));
            let across_m = ONE_SIDED * (squares.sum::<f64>() / inner).sqrt();
            for (v, place) in hole.vertices.iter().zip(&film.ring) {
                self.surface.vertices[*v as usize] = *place;
            }
            self.surface.vertices.extend(film.inner);
            self.surface.faces.extend(film.faces);
            let litres = 1e3 * film.volume_error_m3;
            self.unseen.push(Unseen {
                volume_m3: film.volume_error_m3 / self.moved.scale.powi(3),
                middle: self.moved.back(&hole.centre),
                along_m: 0.0,
                across_m: across_m / self.moved.scale,
                lowest,
                by_mirror: false,
            });
            let down = floor.map_or("", |_| " and down to where the floor was");
            return format!(
                "fair to the skin round it{down}, at most {:.1} mm off the plane of its edge: the volume is good to ± {litres:.1} L for that",
                1e3 * highest
            );
        }
        let points: Vec<Vec3> = hole
            .vertices
            .iter()
            .map(|v| self.surface.vertices[*v as usize])
            .collect();
        let (triangles, _) = triangulate_ring(&points, |_, _| false);
        let faces = triangles
            .iter()
            .map(|&[a, b, c]| [a, c, b].map(|k| hole.vertices[k as usize]));
        self.surface.faces.extend(faces);
        "straight across".to_owned()
    }
}

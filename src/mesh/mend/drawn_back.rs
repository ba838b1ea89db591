//! Corners that noise carried past the ends or the base of the averaged skin.
use super::bench::{Bench, MOVED_M};
use super::posture::{Level, Posture};
use crate::numerics::Vec3;

/// Corners that lie short of the base by so many deviations of the noise make up for those
/// past it.
const SHORT_OF: f64 = 3.0;

impl Bench<'_> {
    /// Draws corners that noise carried past the ends or the base of the averaged skin back
    /// to these, and tells of it: places are measured from them.
    pub(super) fn draw_back(&mut self, posture: &Posture, level: &Level) -> String {
        let length_m = posture.stem_m - posture.origin_m.x;
        let base = (*level == Level::Floor).then_some((-Vec3::z(), 0.0));
        let ends = [(-Vec3::x(), 0.0), (Vec3::x(), length_m)];
        let (mut drawn, mut most_m) = (0, 0.0_f64);
        for (way, at_m) in ends.into_iter().chain(base) {
            let (count, by_m) = self.draw_within(&way, at_m, posture.noise_m);
            drawn += count;
            most_m = most_m.max(by_m);
        }
        if drawn == 0 {
            return String::new();
        }
        format!(
            " of the averaged skin; {drawn} corners that noise had carried past stem, stern or base were drawn back by {:.1} mm at most",
            1e3 * most_m
        )
    }

    /// Draws corners past the place `way · x = at_m` back to it, and those beside them that lie
    /// short of it by no more than noise nearer to it in one proportion, so that the skin holds
    /// as much as before: of a flat bottom half of all corners lie past the base. How many were
    /// drawn back, and how far at most, m.
    fn draw_within(&mut self, way: &Vec3, at_m: f64, noise_m: f64) -> (usize, f64) {
        let mut past = vec![0.0; self.surface.vertices.len()];
        let mut area = past.clone();
        for face in &self.surface.faces {
            let [a, b, c] = face.map(|v| self.surface.vertices[v as usize]);
            let across = (b - a).cross(&(c - a)).dot(way).max(0.0);
            for v in face {
                area[*v as usize] += across;
            }
        }
        let (mut far, mut short) = (0.0, 0.0);
        for ((past, v), area) in past.iter_mut().zip(&self.surface.vertices).zip(&area) {
            *past = v.dot(way) - at_m;
            if *past > 0.0 {
                far += *past * area;
            } else if *past > -SHORT_OF * noise_m {
                short -= *past * area;
            }
        }
        let keeps = if short > 0.0 {
            (1.0 - far / short).max(0.0)
        } else {
            1.0
        };
        let (mut drawn, mut most_m) = (0, 0.0_f64);
        for (v, past) in self.surface.vertices.iter_mut().zip(past) {
            if past > MOVED_M {
                drawn += 1;
                most_m = most_m.max(past);
            }
            if past > 0.0 {
                *v -= way * past;
            } else if past > -SHORT_OF * noise_m {
                *v -= way * past * (1.0 - keeps);
            }
        }
        (drawn, most_m)
    }
}

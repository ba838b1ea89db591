//! The half that a scan lacks.
use super::super::check::Loop;
use super::super::doubt::at;
use super::super::hole::raggedness;
use super::super::surface::Surface;
use super::super::symmetry::{principal_axes, quantile};
use super::bench::Bench;
use super::{MendError, centre, cut, flat};
use crate::numerics::Vec3;

/// Share of the diagonal within which an open edge of a half is drawn onto a
/// given centre plane: 7 mm on a hull of 3.4 m.
const MIRROR_REACH_SHARE: f64 = 2e-3;
/// A torn edge lies within this share of the diagonal of its plane: 25 mm on a hull
/// of 3.6 m.
const TORN_MOST_SHARE: f64 = 6.6e-3;
/// An edge this ragged was torn, not cut: a clean cut with 0.8 mm of noise at 10 mm has 0.05.
const RAGGED: f64 = 0.1;
/// Gaps longer round than this, m, are no gaps of a seam.
const SEAM_GAP_M: f64 = 0.3;
/// Places of a torn edge this far apart, m, are torn independently.
const TORN_APART_M: f64 = 0.1;

impl Bench<'_> {
    /// Mirrors a half in the plane of its cut, or in the flat part of its edge
    /// with the given number.
    pub(super) fn mirror_at_cut(&mut self, number: Option<usize>) -> Result<(), MendError> {
        (self.say)("mirroring the half");
        let holes = self.holes();
        let ring = holes.first().map_or(&[][..], |rim| &rim.vertices);
        let corners: Vec<Vec3> = ring
            .iter()
            .map(|v| self.surface.vertices[*v as usize])
            .collect();
        let is_ragged = raggedness(&corners) > RAGGED;
        let edge = evenly_along(&self.surface, ring);
        let parts = flat::flat_parts(&self.surface, &edge, is_ragged);
        let listed = || {
            let lines = (1..).zip(&parts).map(|(number, part): (usize, _)| {
                format!(
                    "{number}: {:.0} % of the edge, its middle at {}, within {:.1} mm of flat",
                    100.0 * part.share,
                    at(&part.middle),
                    1e3 * part.off_m
                )
            });
            lines.collect::<Vec<_>>().join("; ")
        };
        let part = match number {
            Some(number) => number
                .checked_sub(1)
                .and_then(|k| parts.get(k))
                .ok_or_else(|| MendError::NoSuchFlatPart {
                    number,
                    parts: listed(),
                })?,
            None if parts.is_empty() => return Err(MendError::NoCut),
            None => flat::cut_of(&parts).ok_or_else(|| MendError::TwoCuts { parts: listed() })?,
        };
        // A torn edge is drawn onto the plane as far as it lies from it.
        let most_m = TORN_MOST_SHARE * self.surface.diagonal_m();
        let torn = edge
            .iter()
            .map(|p| (part.normal.dot(p) - part.offset_m).abs());
        let torn = quantile(torn.filter(|off| *off < most_m).collect(), 0.9);
        let mut reach_m = (2.0 * part.reach_m).max(1.5 * torn);
        // Torn places are as good as independent a hand's breadth apart.
        let along = longest_extent(&edge);
        let mut plane_m = part.off_m / (along / TORN_APART_M).max(1.0).sqrt();
        let mut offset_m = part.offset_m;
        let mut by = "the edge";
        if torn > part.reach_m {
            let found =
                centre::centre_of_turn(&self.surface, &part.normal, part.offset_m, 2.0 * torn);
            match found {
                Some((shift_m, error_m)) if error_m < plane_m => {
                    offset_m += shift_m;
                    reach_m += shift_m.abs();
                    plane_m = error_m;
                    by = "where the skin stands square to it, since the edge is torn";
                    cut::keep_below(&mut self.surface, &part.normal, offset_m);
                }
                // What is torn off may be all on one side.
                _ => plane_m = plane_m.max(torn / 2.0),
            }
        }
        cut::add_mirror_image(&mut self.surface, &part.normal, offset_m, reach_m);
        let seam = self.close_seam(&part.normal, offset_m, most_m);
        // A whole hull mirrored in the plane of its rim closes up.
        let long = self.surface.diagonal_m() / 2.0;
        if self.holes().iter().all(|hole| hole.length_m < long) && number.is_none() {
            return Err(MendError::NoCut);
        }
        self.known_plane = Some((part.normal, offset_m));
        // Both halves shift with the plane, whose area is at most its box's.
        let (_, [_, across, _]) = principal_axes(&edge);
        let deep = edge.iter().map(|p| (p - part.middle).dot(&across).abs());
        let deep_m = 2.0 * deep.fold(0.0, f64::max);
        self.log(
            "mirror",
            format!(
                "the half was mirrored in a flat part of its open edge, {:.0} % of that, within {:.1} mm of flat; its place is told by {by}; so the centre plane is good to ± {:.1} mm, which is ± {:.1} L of the whole volume at most; {seam} gaps along the seam were closed",
                100.0 * part.share,
                1e3 * part.off_m,
                1e3 * plane_m,
                1e3 * 2.0 * plane_m * along * deep_m
            ),
        );
        Ok(())
    }

    /// Closes what the teeth of a torn edge left open along the seam, and counts it.
    fn close_seam(&mut self, normal: &Vec3, offset_m: f64, most_m: f64) -> usize {
        let holes = self.holes();
        let on_seam = holes.iter().filter(|hole| {
            let mut edge = hole.vertices.iter();
            let place = |v: &u32| self.surface.vertices[*v as usize];
            hole.length_m < SEAM_GAP_M
                && edge.all(|v| (normal.dot(&place(v)) - offset_m).abs() < most_m)
        });
        let gaps: Vec<Loop> = on_seam.cloned().collect();
        for gap in &gaps {
            self.fill_hole(gap);
        }
        gaps.len()
    }

    pub(super) fn mirror_at_centre(&mut self) -> Result<(), MendError> {
        (self.say)("mirroring at the centre");
        let area_to_port: f64 = (0..self.surface.faces.len())
            .map(|f| {
                let side = self.surface.corners(f).iter().map(|v| v.y).sum::<f64>();
                self.surface.face_area_m2(f).copysign(side)
            })
            .sum();
        let missing = -Vec3::y() * area_to_port.signum();
        cut::keep_below(&mut self.surface, &missing, 0.0);
        self.something_left("mirror")?;
        let reach_m = MIRROR_REACH_SHARE * self.surface.diagonal_m();
        cut::add_mirror_image(&mut self.surface, &missing, 0.0, reach_m);
        let side = if missing.y < 0.0 { "port" } else { "starboard" };
        self.log("mirror", format!("the {side} half was mirrored at y = 0"));
        Ok(())
    }
}

/// The longest extent of a row of points, m.
fn longest_extent(points: &[Vec3]) -> f64 {
    let (_, [long, ..]) = principal_axes(points);
    let along = points.iter().map(|p| p.dot(&long));
    let (lo, hi) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), x| {
        (lo.min(x), hi.max(x))
    });
    (hi - lo).max(0.0)
}

/// Points at equal steps along a ring of vertices.
fn evenly_along(surface: &Surface, ring: &[u32]) -> Vec<Vec3> {
    const POINTS: usize = 2000;
    let place = |k: usize| surface.vertices[ring[k % ring.len()] as usize];
    let length: f64 = (0..ring.len())
        .map(|k| (place(k + 1) - place(k)).norm())
        .sum();
    let step = length / POINTS as f64;
    let mut points = Vec::with_capacity(POINTS);
    let (mut summed, mut next) = (0.0, 0.0);
    for k in 0..ring.len() {
        let (a, b) = (place(k), place(k + 1));
        let side = (b - a).norm();
        while next < summed + side && points.len() < POINTS {
            points.push(a + (b - a) * ((next - summed) / side));
            next += step;
        }
        summed += side;
    }
    points
}

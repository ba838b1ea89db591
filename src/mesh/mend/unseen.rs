//! What of a scan was not seen, and how far it leaves the craft's floating open.
use super::super::not_seen::NotSeen;
use super::super::surface::Surface;
use super::bench::Bench;
use super::posture::TiltError;
use super::rim;
use crate::numerics::Vec3;

/// The waterplane is taken at this share of the hull's height: small craft float so,
/// common practice, no source.
pub(super) const WATER_SHARE: f64 = 0.35;

/// A part of the hull that was not seen, in the frame of the scan.
pub(super) struct Unseen {
    /// How much more or less it may hold, ± m³.
    pub(super) volume_m3: f64,
    /// Where, m.
    pub(super) middle: Vec3,
    /// How far fore or aft of that it may be, as a standard deviation, m.
    pub(super) along_m: f64,
    /// And how far to a side, m.
    pub(super) across_m: f64,
    /// The lowest of it as it lay when it was filled, m, and how far its height may be off, ±.
    pub(super) lowest: Option<(Vec3, f64)>,
    /// Whether a mirrored half leaves it open, rather than a part that was filled.
    pub(super) by_mirror: bool,
}

impl Bench<'_> {
    /// How rough a mirrored half is, as its open edges tell, as a standard deviation, m.
    pub(super) fn rough_m(&self) -> f64 {
        let told = self
            .known_plane
            .and_then(|_| rim::rough_edges_m(&self.surface));
        told.unwrap_or(0.0)
    }

    /// What that and a mirrored half's roll leave open, as a file may carry it.
    pub(super) fn not_seen(&self, by_unseen: Option<(f64, TiltError)>) -> Option<NotSeen> {
        let (sinks_m, tilt) = by_unseen?;
        let tilt = self.rolled().and(tilt);
        Some(NotSeen {
            sinks_m,
            heel_deg: tilt.heel_deg,
            pitch_deg: tilt.pitch_deg,
        })
    }

    /// How far the base may be off where it lies in what was filled, ± m: under what a trestle
    /// hid the keel may go on lower. Where a floor says where the base is, that is known.
    pub(super) fn base_by_unseen_m(&self, closed: &Surface) -> f64 {
        let Some((lo, _)) = closed.bounds().filter(|_| !self.stood) else {
            return 0.0;
        };
        let filled = self.unseen.iter().filter_map(|unseen| unseen.lowest);
        let by_each = filled.map(|(lowest, error_m)| {
            let over_m = self.moved.point(&lowest).z - lo.z;
            (error_m * self.moved.scale - over_m).max(0.0)
        });
        by_each.fold(0.0, f64::max)
    }

    /// How far a mirrored half may be rolled.
    pub(super) fn rolled(&self) -> TiltError {
        TiltError {
            heel_deg: self.roll_error.to_degrees(),
            ..TiltError::default()
        }
    }

    /// How far the craft may float higher or lower, ± m, and how far it may lean, by what
    /// was filled or mirrored and may hold more or less: that over the waterplane's area,
    /// its moment over those of the waterplane; `None` where all that is here was seen.
    pub(super) fn by_what_was_not_seen(&mut self, closed: &Surface) -> Option<(f64, TiltError)> {
        let volume_m3 = |unseen: &Unseen| unseen.volume_m3 * self.moved.scale.powi(3);
        let whole_m3 = self.unseen.iter().map(volume_m3).fold(0.0, f64::hypot);
        if whole_m3 <= 0.0 {
            return None;
        }
        let (lo, hi) = closed.bounds()?;
        let water_m = lo.z + WATER_SHARE * (hi.z - lo.z);
        // What looks down under a level covers the waterplane there.
        let (mut area, mut first, mut second) = (0.0, Vec3::zeros(), Vec3::zeros());
        let mut holds_m3 = 0.0;
        for face in 0..closed.faces.len() {
            let middle = closed.corners(face).iter().sum::<Vec3>() / 3.0;
            if middle.z < water_m {
                let down = -closed.face_normal(face).z / 2.0;
                area += down;
                holds_m3 += down * (water_m - middle.z);
                first += middle * down;
                second += middle.component_mul(&middle) * down;
            }
        }
        let by_mirror = self.unseen.iter().filter(|unseen| unseen.by_mirror);
        self.mirror_share = by_mirror.map(volume_m3).fold(0.0, f64::hypot) / holds_m3;
        let centre = first / area;
        let second = second - centre.component_mul(&centre) * area;
        let sinks_m = whole_m3 / area;
        if !(sinks_m.is_finite() && sinks_m > 0.0) {
            return None;
        }
        let mut tilt = TiltError::default();
        for unseen in &self.unseen {
            let arm = self.moved.point(&unseen.middle) - centre;
            let along_m = arm.x.hypot(unseen.along_m * self.moved.scale);
            let across_m = arm.y.hypot(unseen.across_m * self.moved.scale);
            let angle = |arm_m: f64, second_m4: f64| {
                let angle = (volume_m3(unseen) * arm_m / second_m4).atan();
                angle.abs().to_degrees()
            };
            tilt = tilt.and(TiltError {
                heel_deg: angle(across_m, second.y),
                pitch_deg: angle(along_m, second.x),
                ..TiltError::default()
            });
        }
        self.log(
            "not seen",
            format!(
                "the volume of what was filled or mirrored may be off by ± {:.1} L, so the craft may float {:.1} mm higher or lower; the ± of each opening's height includes this",
                1e3 * whole_m3,
                1e3 * sinks_m
            ),
        );
        Some((sinks_m, tilt))
    }
}

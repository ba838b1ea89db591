//! What the kernel returns: volumes, areas and their moments under a plane.
use super::plane::WaterPlane;
use crate::numerics::Vec3;

/// The area that the water plane cuts out of a body, with its moments about
/// a point of the plane. Additive, so bodies can be joined or taken away.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Waterplane {
    /// Area, m².
    pub area_m2: f64,
    /// First moments along forward and port, m³.
    pub first_m3: [f64; 2],
    /// Second moments ∫uu, ∫uv, ∫vv with u forward and v to port, m⁴.
    pub second_m4: [f64; 3],
}

impl Waterplane {
    /// The same area with its moments taken about a point `du` aft and `dv`
    /// to starboard of the present one (so every part moves by `+du`, `+dv`).
    fn shifted(&self, du: f64, dv: f64) -> Self {
        let [fu, fv] = self.first_m3;
        let [uu, uv, vv] = self.second_m4;
        let a = self.area_m2;
        Self {
            area_m2: a,
            first_m3: [fu + a * du, fv + a * dv],
            second_m4: [
                uu + 2.0 * du * fu + a * du * du,
                uv + du * fv + dv * fu + a * du * dv,
                vv + 2.0 * dv * fv + a * dv * dv,
            ],
        }
    }

    fn add(&mut self, factor: f64, other: &Self) {
        self.area_m2 += factor * other.area_m2;
        for (sum, term) in self.first_m3.iter_mut().zip(other.first_m3) {
            *sum += factor * term;
        }
        for (sum, term) in self.second_m4.iter_mut().zip(other.second_m4) {
            *sum += factor * term;
        }
    }
}

/// Second moments of the waterplane about the centre of flotation, m⁴.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct SecondMoments {
    /// ∫v² dA, v to port: resists heel.
    pub transverse_m4: f64,
    /// ∫u² dA, u forward: resists pitch.
    pub longitudinal_m4: f64,
    /// ∫uv dA: couples the two; zero for a symmetric waterplane.
    pub product_m4: f64,
}

/// Everything the kernel knows of the part of a body under one plane. All
/// sums are held about `reference_m`, a point near the mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Immersion {
    /// The plane asked about.
    pub plane: WaterPlane,
    /// The point that the moments are taken about, boat frame, m.
    pub reference_m: Vec3,
    /// Volume under the plane, m³.
    pub volume_m3: f64,
    /// First moment of that volume about `reference_m`, m⁴.
    pub volume_moment_m4: Vec3,
    /// The waterplane, about the foot of `reference_m` on the plane.
    pub waterplane: Waterplane,
    /// Area of skin under the plane, m² (caps over openings have none).
    pub wetted_area_m2: f64,
    /// First moment of the wetted area about `reference_m`, m³.
    pub wetted_moment_m3: Vec3,
}

impl Immersion {
    /// Nothing under the plane.
    #[must_use]
    pub fn nothing(plane: WaterPlane, reference_m: Vec3) -> Self {
        Self {
            plane,
            reference_m,
            volume_m3: 0.0,
            volume_moment_m4: Vec3::zeros(),
            waterplane: Waterplane::default(),
            wetted_area_m2: 0.0,
            wetted_moment_m3: Vec3::zeros(),
        }
    }

    /// Joins another body's immersion under the same plane, times a signed
    /// `factor` (−1 takes it away).
    pub fn add(&mut self, factor: f64, other: &Self) {
        let offset = other.reference_m - self.reference_m;
        let axes = self.plane.axes();
        self.volume_m3 += factor * other.volume_m3;
        self.volume_moment_m4 += (other.volume_moment_m4 + offset * other.volume_m3) * factor;
        self.wetted_area_m2 += factor * other.wetted_area_m2;
        self.wetted_moment_m3 += (other.wetted_moment_m3 + offset * other.wetted_area_m2) * factor;
        let moved = other
            .waterplane
            .shifted(offset.dot(&axes.forward), offset.dot(&axes.port));
        self.waterplane.add(factor, &moved);
    }

    /// Centre of buoyancy, boat frame, m; `None` with nothing under water.
    #[must_use]
    pub fn centre_of_buoyancy_m(&self) -> Option<Vec3> {
        (self.volume_m3 > 0.0).then(|| self.reference_m + self.volume_moment_m4 / self.volume_m3)
    }

    /// Centroid of the waterplane, boat frame, m; `None` where the plane cuts
    /// nothing.
    #[must_use]
    pub fn centre_of_flotation_m(&self) -> Option<Vec3> {
        let Waterplane {
            area_m2,
            first_m3: [fu, fv],
            ..
        } = self.waterplane;
        (area_m2 > 0.0).then(|| {
            let axes = self.plane.axes();
            self.foot_m() + axes.forward * (fu / area_m2) + axes.port * (fv / area_m2)
        })
    }

    /// Second moments of the waterplane about the centre of flotation.
    #[must_use]
    pub fn second_moments(&self) -> SecondMoments {
        let Waterplane {
            area_m2,
            first_m3: [fu, fv],
            second_m4: [uu, uv, vv],
        } = self.waterplane;
        if area_m2 <= 0.0 {
            return SecondMoments::default();
        }
        SecondMoments {
            transverse_m4: vv - fv * fv / area_m2,
            longitudinal_m4: uu - fu * fu / area_m2,
            product_m4: uv - fu * fv / area_m2,
        }
    }

    /// Centroid of the wetted skin, boat frame, m.
    #[must_use]
    pub fn wetted_centroid_m(&self) -> Option<Vec3> {
        (self.wetted_area_m2 > 0.0)
            .then(|| self.reference_m + self.wetted_moment_m3 / self.wetted_area_m2)
    }

    /// The reference point dropped onto the water plane, boat frame, m.
    fn foot_m(&self) -> Vec3 {
        self.reference_m - self.plane.up * self.plane.height_m(&self.reference_m)
    }
}

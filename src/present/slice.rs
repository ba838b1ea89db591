//! The table of a slice.
use super::cell::{angle, area, fixed, length, mass, point_or_none, volume};
use super::words::Words;
use super::{Cell, Present, Sheet};
use crate::quantity::{Dimension, UnitSystem};
use crate::study::{Answer, Hydrostatics, SliceResult};

impl Present for Answer<SliceResult> {
    fn words(&self) -> Words {
        Words::default().and_cautions(&self.cautions)
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let h = &self.hydrostatics;
        let mut sheet = Sheet::titled(format!("{} cut by a water plane", self.name), units);
        sheet
            .heading("The cut")
            .value("heel, starboard down +", angle(h.heel_deg))
            .value("pitch, bow up +", angle(h.pitch_deg))
            .value(
                "waterline height on the z axis",
                height_on_z(h.waterline_height_m),
            )
            .value("water", &self.water)
            .value("triangles, caps included", fixed(self.triangles));
        under_water(&mut sheet, h);
        sheet.wary_of(self)
    }
}

/// The quantities that every cut has.
pub(super) fn under_water(sheet: &mut Sheet, h: &Hydrostatics) {
    let or_none = |m: Option<f64>| m.map_or_else(|| "none".into(), length);
    let second_moment = |m4| Cell::quantity(m4, Dimension::SecondMoment);
    sheet
        .heading("Under water")
        .value("displaced volume", volume(h.displaced_volume_m3))
        .value("displacement (its mass of water)", mass(h.displacement_kg))
        .value(
            "centre of buoyancy x, y, z",
            point_or_none(h.centre_of_buoyancy_m),
        )
        .value("waterplane area", area(h.waterplane_area_m2))
        .value(
            "centre of flotation x, y, z",
            point_or_none(h.centre_of_flotation_m),
        )
        .value(
            "second moment across (heel)",
            second_moment(h.second_moment_transverse_m4),
        )
        .value(
            "second moment along (pitch)",
            second_moment(h.second_moment_longitudinal_m4),
        )
        .value(
            "metacentric radius across",
            or_none(h.metacentric_radius_transverse_m),
        )
        .value(
            "metacentric radius along",
            or_none(h.metacentric_radius_longitudinal_m),
        )
        .value("wetted area", area(h.wetted_area_m2));
}

/// A height on the boat's z axis, or that the water misses that axis.
pub(super) fn height_on_z(height_m: Option<f64>) -> Cell {
    let missed = || "none: the water runs along that axis".into();
    height_m.map_or_else(missed, length)
}

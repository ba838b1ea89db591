//! The table of a slice.
use super::doubts::doubts;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show, show_point};
use crate::study::{Answer, Hydrostatics, SliceResult};

impl Present for Answer<SliceResult> {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let h = &self.hydrostatics;
        let mut sheet = Sheet::titled(format!("{} cut by a water plane", self.name));
        sheet.heading("The cut").values([
            (
                "heel, starboard down +",
                show(h.heel_deg, Dimension::Angle, units),
            ),
            (
                "pitch, bow up +",
                show(h.pitch_deg, Dimension::Angle, units),
            ),
            (
                "waterline height on the z axis",
                height_on_z(h.waterline_height_m, units),
            ),
            ("water", self.water.in_units(units)),
            ("triangles, caps included", self.triangles.to_string()),
        ]);
        under_water(&mut sheet, h, units);
        sheet.doubts(doubts(&self.doubts, units));
        sheet
    }
}

/// The quantities that every cut has.
pub(super) fn under_water(sheet: &mut Sheet, h: &Hydrostatics, units: UnitSystem) {
    let length = |value: Option<f64>| match value {
        Some(value) => show(value, Dimension::Length, units),
        None => "none".to_owned(),
    };
    sheet.heading("Under water").values([
        (
            "displaced volume",
            show(h.displaced_volume_m3, Dimension::Volume, units),
        ),
        (
            "displacement (its mass of water)",
            show(h.displacement_kg, Dimension::Mass, units),
        ),
        (
            "centre of buoyancy x, y, z",
            point(h.centre_of_buoyancy_m, units),
        ),
        (
            "waterplane area",
            show(h.waterplane_area_m2, Dimension::Area, units),
        ),
        (
            "centre of flotation x, y, z",
            point(h.centre_of_flotation_m, units),
        ),
        (
            "second moment across (heel)",
            show(
                h.second_moment_transverse_m4,
                Dimension::SecondMoment,
                units,
            ),
        ),
        (
            "second moment along (pitch)",
            show(
                h.second_moment_longitudinal_m4,
                Dimension::SecondMoment,
                units,
            ),
        ),
        (
            "metacentric radius across",
            length(h.metacentric_radius_transverse_m),
        ),
        (
            "metacentric radius along",
            length(h.metacentric_radius_longitudinal_m),
        ),
        (
            "wetted area",
            show(h.wetted_area_m2, Dimension::Area, units),
        ),
    ]);
}

/// A height on the boat's z axis, or that the water misses that axis.
pub(super) fn height_on_z(height_m: Option<f64>, units: UnitSystem) -> String {
    height_m.map_or_else(
        || "none: the water runs along that axis".to_owned(),
        |height| show(height, Dimension::Length, units),
    )
}

/// A place, or that there is none.
pub(super) fn point(point: Option<[f64; 3]>, units: UnitSystem) -> String {
    point.map_or_else(|| "none".to_owned(), |at| show_point(at, units))
}

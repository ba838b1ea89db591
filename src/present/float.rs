//! The table of a floating craft.
use super::cautions::cautions;
use super::doubts::doubts;
use super::slice::{height_on_z, point, under_water};
use super::words::{Words, told_first};
use super::yardsticks::yardsticks;
use super::{Cell, Part, Present, Sheet};
use crate::quantity::{Dimension, Quantity, UnitSystem, show};
use crate::study::{Answer, FloatResult, RestResult, ScanBand};

mod words;

impl Present for Answer<FloatResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric)).and(
            "/yardsticks",
            yardsticks(&self.yardsticks, UnitSystem::Metric),
        )
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        openings(&mut sheet, self, units);
        if let Some(rest) = &self.rest {
            at_rest(&mut sheet, self, rest, units);
            if let Some(band) = &self.scan_band {
                scan_band(&mut sheet, band, units);
            }
        }
        masses(&mut sheet, self, units);
        parts(&mut sheet, self, units);
        outside(&mut sheet, self, units);
        if let Some(rest) = &self.rest {
            under_water(&mut sheet, &rest.hydrostatics, units);
        }
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

fn openings(sheet: &mut Sheet, result: &FloatResult, units: UnitSystem) {
    sheet.heading("Openings: height of the sill (lowest rim point) over the water");
    if result.openings.is_empty() {
        sheet.notes(&["none given"]);
        return;
    }
    let rows = result
        .openings
        .iter()
        .map(|opening| {
            vec![
                opening.name.as_str().into(),
                match (opening.freeboard_m, opening.freeboard_error_m) {
                    (None, _) => "sinks".into(),
                    (Some(h), None) => Cell::quantity(h, Dimension::Length, units),
                    (Some(h), Some(error)) => Cell::Quantity(format!(
                        "{} ± {}",
                        show(h, Dimension::Length, units),
                        show(error, Dimension::Length, units)
                    )),
                },
                opening.verdict.word().into(),
                format!("{:?}", opening.state).to_lowercase().into(),
                opening.place.as_str().into(),
                Cell::Quantity(point(opening.sill_m, units)),
            ]
        })
        .collect();
    let header = [
        "opening",
        "over water",
        "verdict",
        "state",
        "where",
        "sill x, y, z",
    ];
    sheet
        .grid(&header, rows)
        .notes(&yardsticks(&result.yardsticks, units));
}

fn at_rest(sheet: &mut Sheet, result: &FloatResult, rest: &RestResult, units: UnitSystem) {
    let length = |value: f64| show(value, Dimension::Length, units);
    let h = &rest.hydrostatics;
    let angle = |value: f64, error: Option<f64>| {
        let shown = |value| show(value, Dimension::Angle, units);
        error.map_or_else(
            || shown(value),
            |error| format!("{} ± {}", shown(value), shown(error)),
        )
    };
    let lost_gm = if rest.free_surface_transverse_m > 0.0 {
        format!(
            "{} across, {} along",
            length(rest.free_surface_transverse_m),
            length(rest.free_surface_longitudinal_m)
        )
    } else {
        "nothing".to_owned()
    };
    sheet.heading("At rest").values([
        (
            "heel, starboard down +",
            angle(h.heel_deg, rest.heel_error_deg),
        ),
        ("pitch, bow up +", angle(h.pitch_deg, rest.pitch_error_deg)),
        (
            "waterline height on the z axis",
            height_on_z(h.waterline_height_m, units),
        ),
        ("draught forward", length(rest.draught_forward_m)),
        ("draught aft", length(rest.draught_aft_m)),
        ("deepest point under water", length(rest.draught_m)),
        (
            "metacentric height across (GM)",
            length(rest.gm_transverse_m),
        ),
        (
            "metacentric height along (GM)",
            length(rest.gm_longitudinal_m),
        ),
        ("of GM lost to liquid free to move", lost_gm),
        (
            "upright by itself",
            match rest.lies {
                lies if lies.is_capsized() => {
                    format!("NO: it turns over and comes to rest {}", lies.words())
                }
                _ if rest.stable => "yes".to_owned(),
                _ => format!(
                    "NO: held upright, GM is {} across, {} along",
                    length(rest.upright.gm_transverse_m),
                    length(rest.upright.gm_longitudinal_m)
                ),
            },
        ),
        (
            "reserve of buoyancy (sealed, over water)",
            format!(
                "{}, {:.0} % of the whole",
                show(rest.reserve_of_buoyancy_m3, Dimension::Volume, units),
                rest.reserve_of_buoyancy_percent
            ),
        ),
        ("water", result.water.in_units(units)),
        ("triangles, caps included", result.triangles.to_string()),
    ]);
}

fn scan_band(sheet: &mut Sheet, band: &ScanBand, units: UnitSystem) {
    let plus_minus = |value, dimension| format!("± {}", show(value, dimension, units));
    sheet
        .heading("Band from the scan's error, if the surface is off the same way all over")
        .values([
            (
                "surface",
                plus_minus(band.surface_error_m, Dimension::Length),
            ),
            (
                "displaced volume",
                plus_minus(band.volume_m3, Dimension::Volume),
            ),
            ("mass carried", plus_minus(band.mass_kg, Dimension::Mass)),
            (
                "every freeboard",
                plus_minus(band.freeboard_m, Dimension::Length),
            ),
        ]);
}

fn masses(sheet: &mut Sheet, result: &FloatResult, units: UnitSystem) {
    let mass = |value: f64, spread: f64| {
        Cell::Quantity(Quantity { value, spread }.show(Dimension::Mass, units))
    };
    let total = vec![
        "all aboard".into(),
        mass(result.mass_kg, result.mass_spread_kg),
        Cell::Quantity(point(Some(result.centre_of_gravity_m), units)),
        "".into(),
    ];
    let off = result.centre_spread_m;
    let give_or_take = off.iter().any(|off| *off > 0.0).then(|| {
        let off = off.map(|off| show(off, Dimension::Length, units));
        let place = format!("± {}", off.join(", "));
        vec![
            "  its centre, give or take".into(),
            "".into(),
            Cell::Quantity(place),
            "".into(),
        ]
    });
    let rows = result
        .masses
        .iter()
        .map(|line| {
            vec![
                line.name.as_str().into(),
                mass(line.mass_kg, line.spread_kg),
                Cell::Quantity(point(Some(line.at_m), units)),
                Cell::maybe(line.sinkage_m, Dimension::Length, units),
            ]
        })
        .chain([total])
        .chain(give_or_take)
        .collect();
    sheet.part(Part::Masses, "Masses and their centres").grid(
        &[
            "what",
            "mass",
            "x forward, y port, z up",
            "its weight sinks it by",
        ],
        rows,
    );
}

fn outside(sheet: &mut Sheet, result: &FloatResult, units: UnitSystem) {
    if result.outside.is_empty() {
        return;
    }
    let volume = |value| Cell::quantity(value, Dimension::Volume, units);
    let rows = result
        .outside
        .iter()
        .map(|line| {
            vec![
                line.name.as_str().into(),
                volume(line.volume_m3),
                volume(line.outside_m3),
                Cell::maybe(line.under_water_m3, Dimension::Volume, units),
                if line.box_known {
                    "its size".into()
                } else {
                    "a cube: no size given".into()
                },
            ]
        })
        .collect();
    let header = [
        "item",
        "volume",
        "of it outside",
        "of that under water",
        "taken as",
    ];
    sheet
        .heading("Items outside the hull or in an open well: they displace while under water")
        .grid(&header, rows);
}

fn parts(sheet: &mut Sheet, result: &FloatResult, units: UnitSystem) {
    if result.parts.is_empty() {
        return;
    }
    let shown = |value, dimension| Cell::maybe(value, dimension, units);
    let rows = result
        .parts
        .iter()
        .map(|part| {
            vec![
                part.name.as_str().into(),
                format!("{:?}", part.role).to_lowercase().into(),
                shown(Some(part.mass_kg), Dimension::Mass),
                Cell::Quantity(point(part.at_m, units)),
                shown(Some(part.adds_m3), Dimension::Volume),
                shown(part.adds_under_water_m3, Dimension::Volume),
                shown(part.sinkage_m, Dimension::Length),
            ]
        })
        .collect();
    let header = [
        "part",
        "role",
        "mass",
        "centre x, y, z",
        "adds volume",
        "of it under water",
        "sinks it by",
    ];
    sheet
        .heading("Parts: weight less what they push aside, at rest")
        .grid(&header, rows);
}

//! The table of a floating craft.
use super::cell::{
    angle, cells, fixed, length, length_beside, mass, plus_minus, point, point_or_none, volume,
};
use super::say::Say;
use super::slice::{height_on_z, under_water};
use super::words::{Words, told_first};
use super::yardsticks::{To, limits, yardsticks};
use super::{Cell, Part, Present, Sheet};
use crate::quantity::{Dimension, UnitSystem};
use crate::study::{Answer, FloatResult, OpeningVerdict, RestResult, ScanBand, Verdict};

mod words;

pub(crate) use words::{Lying, lolls, sinks};

impl Lying<'_> {
    /// The one sentence: how it lies and its lowest way in.
    pub(crate) fn sentence(&self, units: UnitSystem) -> String {
        self.in_words(Say(units))
    }
}

impl Present for Answer<FloatResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric)).and_yardsticks(&self.yardsticks)
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        openings(&mut sheet, self);
        if let Some(rest) = &self.rest {
            at_rest(&mut sheet, self, rest);
            if let Some(band) = &self.scan_band {
                scan_band(&mut sheet, band);
            }
        }
        masses(&mut sheet, self);
        parts(&mut sheet, self);
        outside(&mut sheet, self);
        if let Some(rest) = &self.rest {
            under_water(&mut sheet, &rest.hydrostatics);
        }
        sheet.wary_of(self)
    }
}

fn openings(sheet: &mut Sheet, result: &FloatResult) {
    sheet.heading("Openings: height of the sill (lowest rim point) above the water");
    if result.openings.is_empty() {
        sheet.notes(&["none given"]);
        return;
    }
    // The lowest first.
    let mut lowest_first: Vec<_> = result.openings.iter().collect();
    lowest_first.sort_by(|a, b| {
        let height = |height: Option<f64>| height.unwrap_or(f64::NEG_INFINITY);
        height(a.freeboard_m).total_cmp(&height(b.freeboard_m))
    });
    let rows = lowest_first.into_iter().map(|opening| {
        cells![
            &opening.name,
            opening.freeboard_m.map_or_else(
                || "sinks".into(),
                |height| or_off(
                    sill_height(height, result),
                    opening.freeboard_error_m.map(length)
                ),
            ),
            judged(opening.verdict),
            format!("{:?}", opening.state).to_lowercase(),
            &opening.place,
            point_or_none(opening.sill_m),
        ]
    });
    let header = [
        "opening",
        "above water",
        "verdict",
        "state",
        "where",
        "sill x, y, z",
    ];
    let yardsticks = yardsticks(&result.yardsticks, sheet.units);
    sheet.grid(&header, rows).notes(&yardsticks);
    let verdicts = result
        .openings
        .iter()
        .filter_map(|one| one.verdict.verdict());
    if verdicts.min() == Some(Verdict::Clear) {
        sheet.notes(&[
            "that is the height at rest: awash margins tells how small a lean or knock floods it",
        ]);
    }
    if result
        .openings
        .iter()
        .any(|opening| opening.freeboard_error_m.is_some())
    {
        sheet.notes(&["± here, and of heel and pitch below, is the scan's alone; awash spread adds that of weights and places"]);
    }
}

/// The height of a sill, as finely as its yardstick needs.
pub(super) fn sill_height(height_m: f64, result: &FloatResult) -> Cell {
    length_beside(height_m, &limits(&result.yardsticks, To::Sill))
}

fn judged(verdict: OpeningVerdict) -> Cell {
    let word = verdict.word();
    verdict
        .verdict()
        .map_or_else(|| word.into(), |verdict| Cell::judged(word, verdict))
}

/// A quantity, with its ± where one is known.
fn or_off(value: Cell, error: Option<Cell>) -> Cell {
    match error {
        Some(error) => value.give_or_take(error),
        None => value,
    }
}

fn at_rest(sheet: &mut Sheet, result: &FloatResult, rest: &RestResult) {
    let h = &rest.hydrostatics;
    let lost_gm = if rest.free_surface_transverse_m > 0.0 {
        across_and_along(
            rest.free_surface_transverse_m,
            rest.free_surface_longitudinal_m,
        )
    } else {
        "nothing".into()
    };
    let upright = match rest.lies {
        lies if lies.is_capsized() => {
            format!("NO: it turns over and comes to rest {}", lies.words()).into()
        }
        _ if rest.stable => "yes".into(),
        _ => {
            let held = &rest.upright;
            "NO: held upright, GM is "
                + across_and_along(held.gm_transverse_m, held.gm_longitudinal_m)
        }
    };
    let heel = or_off(angle(h.heel_deg), rest.heel_error_deg.map(angle));
    let pitch = or_off(angle(h.pitch_deg), rest.pitch_error_deg.map(angle));
    let reserve_percent = format!("{:.0} % of the whole", rest.reserve_of_buoyancy_percent);
    sheet
        .heading("At rest")
        .value("heel, starboard down +", heel)
        .value("pitch, bow up +", pitch)
        .value(
            "waterline height on the z axis",
            height_on_z(h.waterline_height_m),
        )
        .value(
            "depth of the base line at the forward mark",
            length(rest.draught_forward_m),
        )
        .value(
            "depth of the base line at the after mark",
            length(rest.draught_aft_m),
        )
        .value(
            "draught, the deepest point under water",
            length(rest.draught_m),
        )
        .value(
            "metacentric height across (GM)",
            length(rest.gm_transverse_m),
        )
        .value(
            "metacentric height along (GM)",
            length(rest.gm_longitudinal_m),
        )
        .value("GM lost to loose liquid", lost_gm)
        .value("stays upright", upright)
        .value(
            "reserve of buoyancy (sealed, above water)",
            volume(rest.reserve_of_buoyancy_m3) + ", " + reserve_percent,
        )
        .value("water", &result.water)
        .value("triangles, caps included", fixed(result.triangles));
}

fn across_and_along(transverse_m: f64, longitudinal_m: f64) -> Cell {
    length(transverse_m) + " across, " + length(longitudinal_m) + " along"
}

fn scan_band(sheet: &mut Sheet, band: &ScanBand) {
    sheet
        .heading("Band from the scan's error, if the surface is off the same way all over")
        .value("surface", plus_minus(length(band.surface_error_m)))
        .value("displaced volume", plus_minus(volume(band.volume_m3)))
        .value("mass carried", plus_minus(mass(band.mass_kg)))
        .value("every freeboard", plus_minus(length(band.freeboard_m)));
}

fn masses(sheet: &mut Sheet, result: &FloatResult) {
    let mass = |kg, spread_kg| Cell::spread(kg, spread_kg, Dimension::Mass);
    let total = cells![
        "all aboard",
        mass(result.mass_kg, result.mass_spread_kg),
        point(result.centre_of_gravity_m),
        "",
    ];
    let off = result.centre_spread_m;
    let give_or_take = off.iter().any(|off| *off > 0.0).then(|| {
        let [x, y, z] = off.map(length);
        let place = plus_minus(x.and(y).and(z));
        cells!["  its centre, give or take", "", place, ""]
    });
    let rows = result.masses.iter().map(|line| {
        cells![
            &line.name,
            mass(line.mass_kg, line.spread_kg),
            point(line.at_m),
            line.sinkage_m.map(length),
        ]
    });
    sheet.part(Part::Masses, "Masses and their centres").grid(
        &[
            "what",
            "mass",
            "x forward, y port, z up",
            "its weight sinks it evenly by",
        ],
        rows.chain([total]).chain(give_or_take),
    );
}

fn outside(sheet: &mut Sheet, result: &FloatResult) {
    if result.outside.is_empty() {
        return;
    }
    let rows = result.outside.iter().map(|line| {
        cells![
            &line.name,
            volume(line.volume_m3),
            volume(line.outside_m3),
            line.under_water_m3.map(volume),
            if line.box_known {
                "its size"
            } else {
                "a cube: no size given"
            },
        ]
    });
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

fn parts(sheet: &mut Sheet, result: &FloatResult) {
    if result.parts.is_empty() {
        return;
    }
    let rows = result.parts.iter().map(|part| {
        cells![
            &part.name,
            format!("{:?}", part.role).to_lowercase(),
            mass(part.mass_kg),
            point_or_none(part.at_m),
            volume(part.adds_m3),
            part.adds_under_water_m3.map(volume),
            part.sinkage_m.map(length),
        ]
    });
    let header = [
        "part",
        "role",
        "mass",
        "centre x, y, z",
        "adds volume",
        "of it under water",
        "sinks it evenly by",
    ];
    sheet
        .heading("Parts: weight less what they push aside, at rest")
        .grid(&header, rows);
}

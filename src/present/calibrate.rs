//! What measurements say of mass and centre, as a table.
use super::cell::{cells, length, mass, plus_minus, point};
use super::say::Say;
use super::words::{Words, told_first};
use super::{Cell, Present, Sheet};
use crate::quantity::UnitSystem;
use crate::study::{Answer, CalibrateResult};

mod words;

impl Present for Answer<CalibrateResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        const UNITS: UnitSystem = UnitSystem::Metric;
        let mut told = Words::of(self, self.summary(UNITS))
            .and("/misfits", words::misfits(self, UNITS))
            .and("/notes", words::notes(self, UNITS));
        for (number, line) in self.residuals.iter().enumerate() {
            let what = words::measurement(line.what, Say(UNITS));
            told = told.and(format!("/residuals/{number}/what"), what);
        }
        told
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        mass_and_centre(&mut sheet, self);
        if let Some(gm) = self.gm_transverse_m {
            sheet.value("metacentric height across at rest", length(gm));
        }
        fit(&mut sheet, self);
        sheet.wary_of(self)
    }
}

fn mass_and_centre(sheet: &mut Sheet, result: &CalibrateResult) {
    let [x, y, z] = &result.centre_from;
    let from = format!("mass: {}; x: {x}; y: {y}; z: {z}", result.mass_from);
    let row =
        |what: &str, kg: f64, at: [f64; 3], from: &str| cells![what, mass(kg), point(at), from];
    let off = |kg: f64, at: [f64; 3]| {
        let axis = |axis: usize| {
            let measured = result.centre_measured[axis];
            length(at[axis]) + (!measured).then_some(" (not measured)")
        };
        let at = plus_minus(axis(0).and(axis(1)).and(axis(2)));
        cells!["  give or take", plus_minus(mass(kg)), at, ""]
    };
    let (mass_kg, centre_m) = (result.mass_kg, result.centre_of_gravity_m);
    let (file_kg, file_m) = (result.mass_in_file_kg, result.centre_in_file_m);
    let (hull_kg, hull_m) = (result.hull_mass_kg, result.hull_centre_m);
    let rows = [
        row("measured", mass_kg, centre_m, &from),
        off(result.mass_spread_kg, result.centre_spread_m),
        row("boat file", file_kg, file_m, ""),
        row("hull that makes up the whole", hull_kg, hull_m, ""),
        off(result.hull_mass_spread_kg, result.hull_centre_spread_m),
    ];
    sheet
        .heading("Mass and centre of gravity of all aboard")
        .grid(&["", "mass", "x forward, y port, z up", "from"], rows)
        .notes(&["± is two standard deviations: about 95 of 100 lie within"]);
}

fn fit(sheet: &mut Sheet, result: &CalibrateResult) {
    let units = sheet.units;
    let rows = result.residuals.iter().map(|line| {
        let quantity = |value| Cell::quantity(value, line.dimension);
        cells![
            words::measurement(line.what, Say(units)),
            quantity(line.measured),
            plus_minus(quantity(line.spread)),
            quantity(line.corrected_boat),
            quantity(line.measured - line.corrected_boat),
        ]
    });
    let header = [
        "measurement",
        "measured",
        "its ±",
        "corrected boat",
        "off by",
    ];
    sheet
        .heading("How well the measurements fit")
        .grid(&header, rows)
        .notes(&words::notes(result, units));
}

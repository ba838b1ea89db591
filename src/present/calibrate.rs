//! What measurements say of mass and centre, as a table.
use super::cautions::cautions;
use super::doubts::doubts;
use super::say::Say;
use super::slice::point;
use super::words::{Words, told_first};
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
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
        let mass = |value: f64| show(value, Dimension::Mass, units);
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        let [x, y, z] = &self.centre_from;
        let row = |what: &str, kg: f64, at: [f64; 3], from: String| {
            vec![what.to_owned(), mass(kg), point(Some(at), units), from]
        };
        let off = |kg: f64, at: [f64; 3]| {
            let at: Vec<String> = at
                .iter()
                .zip(self.centre_measured)
                .map(|(off, measured)| {
                    let off = show(*off, Dimension::Length, units);
                    if measured {
                        off
                    } else {
                        format!("{off} (not measured)")
                    }
                })
                .collect();
            let (mass, at) = (format!("± {}", mass(kg)), format!("± {}", at.join(", ")));
            vec!["  give or take".to_owned(), mass, at, String::new()]
        };
        sheet
            .heading("Mass and centre of gravity of all aboard")
            .grid(
                &["", "mass", "x forward, y port, z up", "from"],
                vec![
                    row(
                        "measured",
                        self.mass_kg,
                        self.centre_of_gravity_m,
                        format!("mass: {}; x: {x}; y: {y}; z: {z}", self.mass_from),
                    ),
                    off(self.mass_spread_kg, self.centre_spread_m),
                    row(
                        "boat file",
                        self.mass_in_file_kg,
                        self.centre_in_file_m,
                        String::new(),
                    ),
                    row(
                        "hull that makes up the whole",
                        self.hull_mass_kg,
                        self.hull_centre_m,
                        String::new(),
                    ),
                    off(self.hull_mass_spread_kg, self.hull_centre_spread_m),
                ],
            )
            .notes(&["± is two standard deviations: about 95 of 100 lie within".to_owned()]);
        if let Some(gm) = self.gm_transverse_m {
            let says = show(gm, Dimension::Length, units);
            sheet.values([("metacentric height across at rest", says)]);
        }
        let rows = self
            .residuals
            .iter()
            .map(|line| {
                let dimension = match line.unit {
                    "m" => Dimension::Length,
                    "kg" => Dimension::Mass,
                    _ => Dimension::Angle,
                };
                let say = |value: f64| show(value, dimension, units);
                vec![
                    words::measurement(line.what, Say(units)),
                    say(line.measured),
                    format!("± {}", say(line.spread)),
                    say(line.corrected_boat),
                    say(line.measured - line.corrected_boat),
                ]
            })
            .collect();
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
            .notes(&words::notes(self, units));
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

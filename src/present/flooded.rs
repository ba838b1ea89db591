//! The table of a craft with its compartments flooded.
use super::cautions::cautions;
use super::doubts::doubts;
use super::words::{Words, told_first};
use super::yardsticks::yardsticks;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{Answer, FloodedAir, FloodedCase, FloodedRest, FloodedResult};

mod words;

impl Present for Answer<FloodedResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
            .and(
                "/yardsticks",
                yardsticks(&self.yardsticks, UnitSystem::Metric),
            )
            .and("/notes", words::notes(self, UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let volume = |value: f64| show(value, Dimension::Volume, units);
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        let rows = self
            .compartments
            .iter()
            .map(|space| {
                vec![
                    space.name.clone(),
                    volume(space.volume_m3),
                    volume(space.capacity_m3),
                    format!(
                        "{:.2} ± {:.2}",
                        space.permeability, space.permeability_spread
                    ),
                    if space.sealed { "sealed" } else { "" }.to_owned(),
                ]
            })
            .collect();
        sheet.heading("Compartments").grid(
            &[
                "compartment",
                "volume",
                "water can fill",
                "permeability (share water can fill)",
                "",
            ],
            rows,
        );
        let ends = |cases: &[FloodedCase]| cases.iter().map(|case| end_row(case, units)).collect();
        sheet
            .heading("How it ends, the water gone on to all that it reaches")
            .grid(&END_HEADER, ends(&self.cases))
            .notes(&words::notes(self, units));
        if self.verdict.is_some() {
            sheet.notes(&yardsticks(&self.yardsticks, units));
        }
        if !self.if_it_leaks.is_empty() {
            sheet
                .heading("If a sealed space leaks (not judged)")
                .grid(&END_HEADER, ends(&self.if_it_leaks));
        }
        let rows = self.cases.iter().map(|case| row(case, units)).collect();
        sheet.heading("At first, these flooded and no others").grid(
            &[
                "flooded",
                "afloat",
                "heel",
                "pitch",
                "draught forward",
                "draught aft",
                "GM across",
                "lowest dry opening",
                "within the ±",
                "water goes on to",
            ],
            rows,
        );
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

const END_HEADER: [&str; 11] = [
    "flooded at first",
    "flooded in the end",
    "air",
    "afloat",
    "heel",
    "pitch",
    "draught forward",
    "draught aft",
    "GM across",
    "lowest dry opening",
    "within the ±",
];

fn row(case: &FloodedCase, units: UnitSystem) -> Vec<String> {
    let length = |value: f64| show(value, Dimension::Length, units);
    let band = match (case.floats_in_band, case.sill_band_m) {
        ([true, true], [Some(low), Some(high)]) => format!("{} to {}", length(low), length(high)),
        (floats, _) => in_band(floats, floats).to_owned(),
    };
    let mut cells = vec![case.name.clone()];
    cells.extend(lies(case.rest.as_ref(), units));
    cells.push(band);
    let on = case.rest.as_ref().map(|rest| rest.spreads_to.join(", "));
    cells.push(on.unwrap_or_default());
    cells
}

fn end_row(case: &FloodedCase, units: UnitSystem) -> Vec<String> {
    let end = &case.end;
    let air = match end.air {
        FloodedAir::Lost if case.other_end.is_none() => "lost",
        FloodedAir::Lost => "lost (worse)",
        FloodedAir::Kept => "kept (worse)",
    };
    let mut cells = vec![case.name.clone(), end.flooded.join(", "), air.to_owned()];
    cells.extend(lies(end.rest.as_ref(), units));
    let band = in_band(case.end_floats_in_band, case.end_upright_in_band);
    cells.push(band.to_owned());
    cells
}

fn in_band(floats: [bool; 2], upright: [bool; 2]) -> &'static str {
    match (floats, upright) {
        ([true, true], [true, true]) => "afloat",
        ([true, true], [false, false]) => "LIES OVER",
        ([true, true], _) => "MAY LIE OVER",
        ([false, false], _) => "SINKS",
        _ => "MAY SINK",
    }
}

/// Afloat, heel, pitch, draughts, GM and the lowest dry opening.
fn lies(rest: Option<&FloodedRest>, units: UnitSystem) -> Vec<String> {
    let length = |value: f64| show(value, Dimension::Length, units);
    let angle = |value: f64| show(value, Dimension::Angle, units);
    let Some(rest) = rest else {
        let mut cells = vec!["SINKS".to_owned()];
        cells.extend(std::iter::repeat_n(String::new(), 6));
        return cells;
    };
    vec![
        if rest.upright {
            "yes"
        } else {
            "ON ITS SIDE OR END"
        }
        .to_owned(),
        angle(rest.heel_deg),
        angle(rest.pitch_deg),
        length(rest.draught_forward_m),
        length(rest.draught_aft_m),
        length(rest.gm_transverse_m),
        match (&rest.opening, rest.sill_m) {
            (Some(opening), Some(height)) => format!("{opening}, {}", length(height)),
            _ if rest.sills_under.is_empty() => "none".to_owned(),
            _ => format!("none; UNDER WATER: {}", rest.sills_under.join(", ")),
        },
    ]
}

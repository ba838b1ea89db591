//! The table of a craft with its compartments flooded.
use super::cell::{angle_beside, cells, fixed, length, length_beside, volume};
use super::words::{Words, told_first};
use super::yardsticks::{To, limits, yardsticks};
use super::{Cell, Present, Sheet};
use crate::quantity::UnitSystem;
use crate::study::{Answer, FloodedAir, FloodedCase, FloodedRest, FloodedResult, Yardstick};

mod words;

impl Present for Answer<FloodedResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
            .and_yardsticks(&self.yardsticks)
            .and("/notes", words::notes(self, UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        let rows = self.compartments.iter().map(|space| {
            let share = |share: f64| fixed(format!("{share:.2}"));
            cells![
                &space.name,
                volume(space.volume_m3),
                volume(space.capacity_m3),
                share(space.permeability).give_or_take(share(space.permeability_spread)),
                if space.sealed { "sealed" } else { "" },
            ]
        });
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
        sheet
            .heading("How it ends, the water gone on to all that it reaches")
            .grid(
                &END_HEADER,
                self.cases
                    .iter()
                    .map(|case| end_row(case, &self.yardsticks)),
            )
            .notes(&words::notes(self, units));
        if self.verdict.is_some() {
            sheet.notes(&yardsticks(&self.yardsticks, units));
        }
        if !self.if_it_leaks.is_empty() {
            sheet.heading("If a sealed space leaks (not judged)").grid(
                &END_HEADER,
                self.if_it_leaks
                    .iter()
                    .map(|case| end_row(case, &self.yardsticks)),
            );
        }
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
            self.cases.iter().map(|case| row(case, &self.yardsticks)),
        );
        sheet.wary_of(self)
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

fn row(case: &FloodedCase, yardsticks: &[Yardstick]) -> Vec<Cell> {
    let band = match (case.floats_in_band, case.sill_band_m) {
        ([true, true], [Some(low), Some(high)]) => {
            let sills = limits(yardsticks, To::SwampedSill);
            let height = |m| length_beside(m, &sills);
            height(low).to(height(high))
        }
        (floats, _) => in_band(floats, floats).into(),
    };
    let on = case.rest.as_ref().map(|rest| rest.spreads_to.join(", "));
    let mut cells = cells![&case.name];
    cells.extend(lies(case.rest.as_ref(), yardsticks));
    cells.extend(cells![band, on]);
    cells
}

fn end_row(case: &FloodedCase, yardsticks: &[Yardstick]) -> Vec<Cell> {
    let end = &case.end;
    let air = match end.air {
        FloodedAir::Lost if case.other_end.is_none() => "lost",
        FloodedAir::Lost => "lost (worse)",
        FloodedAir::Kept => "kept (worse)",
    };
    let mut cells = cells![&case.name, end.flooded.join(", "), air];
    cells.extend(lies(end.rest.as_ref(), yardsticks));
    cells.push(in_band(case.end_floats_in_band, case.end_upright_in_band).into());
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
fn lies(rest: Option<&FloodedRest>, yardsticks: &[Yardstick]) -> [Cell; 7] {
    let [leans, sills] = [To::SwampedLean, To::SwampedSill].map(|to| limits(yardsticks, to));
    let Some(rest) = rest else {
        let mut cells: [Cell; 7] = Default::default();
        cells[0] = "SINKS".into();
        return cells;
    };
    let afloat = if rest.upright {
        "yes"
    } else {
        "ON ITS SIDE OR END"
    };
    [
        afloat.into(),
        angle_beside(rest.heel_deg, &leans),
        angle_beside(rest.pitch_deg, &leans),
        length(rest.draught_forward_m),
        length(rest.draught_aft_m),
        length(rest.gm_transverse_m),
        match (&rest.opening, rest.sill_m) {
            (Some(opening), Some(height)) => {
                Cell::from(opening) + ", " + length_beside(height, &sills)
            }
            _ if rest.sills_under.is_empty() => "none".into(),
            _ => format!("none; UNDER WATER: {}", rest.sills_under.join(", ")).into(),
        },
    ]
}

//! The table of a swamping.
use super::cell::{angle_beside, cells, length, length_beside, or_dash, volume};
use super::csv::csv_rows;
use super::words::{Words, told_first};
use super::yardsticks::{To, limits, yardsticks};
use super::{Cell, Present, Sheet};
use crate::numerics::picked;
use crate::quantity::{Dimension, UnitSystem};
use crate::study::{Answer, SwampAir, SwampResult};

mod words;

/// Lines shown in the terminal.
const SHOWN_LINES: usize = 16;

impl Present for Answer<SwampResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric)).and_yardsticks(&self.yardsticks)
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        let [solid, needed] = [
            (self.solid_m3, self.solid_needed_m3),
            (self.solid_needed_m3, self.solid_m3),
        ]
        .map(|(m3, other)| Cell::beside(m3, Dimension::Volume, &[other]));
        sheet
            .heading("Inside")
            .value("space that water can fill", volume(self.inside_m3))
            .value("solid or sealed volume", solid)
            .value("volume needed to stay up when full", needed)
            .value("point of no return", no_return(self));
        if self.verdict.is_some() {
            sheet.notes(&yardsticks(&self.yardsticks, units));
        }
        if let Some(air) = &self.with_air {
            with_air(&mut sheet, self, air);
        }
        compartments(&mut sheet, self);
        let keepers = self.kept_up_by.iter();
        sheet.heading("What still holds it up when full").grid(
            &["", "displaces"],
            keepers.map(|keeper| cells![&keeper.name, volume(keeper.volume_m3)]),
        );
        let sill_limits = limits(&self.yardsticks, To::SwampedSill);
        let sills = self.openings.iter();
        sheet.heading("Openings, as it ends").grid(
            &["opening", "sill above the water"],
            sills.map(|sill| cells![&sill.name, length_beside(sill.freeboard_m, &sill_limits)]),
        );
        time_line(&mut sheet, self);
        sheet.wary_of(self)
    }
}

/// How much water inside is too much, and when it is in.
fn no_return(result: &SwampResult) -> Cell {
    let Some(m3) = result.no_return_m3 else {
        return match result.no_return_in.as_slice() {
            [] => "none: no sill comes to the water".into(),
            rooms => format!(
                "none with {} full: no sill comes to the water",
                rooms.join(", ")
            )
            .into(),
        };
    };
    let standing = result.standing_m3;
    let standing =
        (standing > 0.0).then(|| " on top of the " + volume(standing) + " already there");
    let after = result.no_return_s;
    let after = after.map(|s| ", reached after " + Cell::quantity(s, Dimension::Time));
    volume(m3) + standing + " inside" + after
}

fn with_air(sheet: &mut Sheet, result: &SwampResult, air: &SwampAir) {
    let [leans, sills] =
        [To::SwampedLean, To::SwampedSill].map(|to| limits(&result.yardsticks, to));
    let afloat = match (air.floats, air.upright) {
        (true, true) => "yes",
        (true, false) => "ON ITS SIDE OR END",
        (false, _) => "NO",
    };
    let rows = air.air_kept.iter().map(|room| {
        cells![
            &room.compartment,
            volume(room.air_m3),
            length(room.under_outside_m),
        ]
    });
    sheet
        .heading("With the trapped air kept")
        .value("afloat", afloat)
        .value(
            "heel",
            or_dash(air.heel_deg.map(|heel| angle_beside(heel, &leans))),
        )
        .value(
            "pitch",
            or_dash(air.pitch_deg.map(|pitch| angle_beside(pitch, &leans))),
        )
        .value(
            "lowest dry opening",
            air.sill_m
                .map_or_else(|| "none".into(), |sill| length_beside(sill, &sills)),
        )
        .grid(
            &["compartment", "air kept", "its water lower than outside by"],
            rows,
        );
}

fn compartments(sheet: &mut Sheet, result: &SwampResult) {
    if result.compartments.len() < 2 {
        return;
    }
    let rows = result.compartments.iter().map(|space| {
        cells![
            &space.name,
            volume(space.capacity_m3),
            volume(space.water_m3),
            if space.sealed { "sealed" } else { "" },
        ]
    });
    sheet
        .heading("Compartments, as it ends")
        .grid(&["compartment", "holds", "water in it", ""], rows);
}

fn time_line(sheet: &mut Sheet, result: &SwampResult) {
    let lines = &result.time_line;
    let [leans, sills] =
        [To::SwampedLean, To::SwampedSill].map(|to| limits(&result.yardsticks, to));
    let mut before = None;
    let rows = picked(lines, SHOWN_LINES).map(|line| {
        // A second line of one moment: the craft is let go, or goes over.
        let again = before.replace(line.time_s) == Some(line.time_s);
        let time = Cell::quantity(line.time_s, Dimension::Time);
        cells![
            time + again.then_some(", then"),
            volume(line.water_m3),
            Cell::quantity(line.inflow_m3_s, Dimension::Flow),
            angle_beside(line.heel_deg, &leans),
            angle_beside(line.pitch_deg, &leans),
            line.sill_m.map(|sill| length_beside(sill, &sills)),
        ]
    });
    let mut rows: Vec<Vec<Cell>> = rows.collect();
    rows.dedup_by(|later, row| later[1..] == row[1..] && later[0] == row[0].clone() + ", then");
    let header = [
        "time",
        "water inside",
        "flow in",
        "heel",
        "pitch",
        "lowest sill",
    ];
    sheet.heading("Time line").grid(&header, rows);
}

/// The time line as a table for a spreadsheet: one line a moment, SI, one
/// column for each compartment that water can get into.
#[must_use]
pub fn time_line_csv(result: &SwampResult) -> String {
    let mut header = [
        "time (s)",
        "water inside (m3)",
        "entered (m3)",
        "bailed (m3)",
        "flow in (m3/s)",
        "heel (deg)",
        "pitch (deg)",
        "waterline height (m)",
        "lowest sill (m)",
    ]
    .map(str::to_owned)
    .to_vec();
    let floodable = result.compartments.iter().filter(|space| !space.sealed);
    header.extend(floodable.map(|space| format!("water in {} (m3)", space.name)));
    let moments = result.time_line.iter().map(|line| {
        let known = [
            line.time_s,
            line.water_m3,
            line.entered_m3,
            line.bailed_m3,
            line.inflow_m3_s,
            line.heel_deg,
            line.pitch_deg,
        ];
        let known = known.map(Some).into_iter();
        let cells = known
            .chain([line.waterline_height_m, line.sill_m])
            .chain(line.compartments_m3.iter().copied().map(Some));
        let shown = |value: Option<f64>| value.map_or_else(String::new, |v| v.to_string());
        cells.map(shown).collect()
    });
    let rows: Vec<Vec<String>> = std::iter::once(header).chain(moments).collect();
    csv_rows(&rows)
}
